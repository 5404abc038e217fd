"""Rows without what tells who hit them.

Alias, notes, plan and own words (tags that the trainer does not know, own names of clubs and flags) go or are
numbered; sessions, readings and shots are numbered anew, so that nothing joins them to another file. Dates are moved
together so that the first day is 1 January 2000: days between and times of day stay, since day effects and the wind's
order need them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from trainer.application.evidence.known_tags import KNOWN_TAGS
from trainer.core.bag import is_usual_club
from trainer.exchange.export_table import ExportRow, GapRow, ReadingRow, SessionRow

FIRST_DAY = date(2000, 1, 1)
ALIAS = "player"


class Numbers:
    """Names as they come, each given the next number: `flag-1`, `flag-2`."""

    def __init__(self, word: str) -> None:
        self._word = word
        self._known: dict[str, str] = {}

    def of(self, name: str) -> str:
        """The number that stands for `name`; an empty name stays empty."""
        if not name:
            return ""
        return self._known.setdefault(name, f"{self._word}{len(self._known) + 1}")


@dataclass(frozen=True, slots=True)
class Nameless:
    """What one export's names and days become. Make one an export: the same name is the same number in each file."""

    shift: timedelta
    sessions: Numbers
    readings: Numbers
    shots: Numbers
    clubs: Numbers
    flags: Numbers

    def moment(self, at: datetime) -> datetime:
        """`at`, its day moved."""
        return at + self.shift

    def club(self, name: str) -> str:
        """A usual club's name as it is, an own name as a number."""
        return name if is_usual_club(name.lower()) else self.clubs.of(name)

    def shot(self, row: ExportRow) -> ExportRow:
        """One shot."""
        return replace(
            row,
            session=self.sessions.of(row.session),
            time=self.moment(row.time),
            club=self.club(row.club),
            flag=self.flags.of(row.flag),
            tags=tuple(tag for tag in row.tags if tag in KNOWN_TAGS),
            note="",
            player=ALIAS,
            shot=self.shots.of(row.shot),
        )

    def reading(self, row: ReadingRow) -> ReadingRow:
        """One reading."""
        return replace(
            row,
            session=self.sessions.of(row.session),
            reading=self.readings.of(row.reading),
            time=self.moment(row.time),
        )

    def session(self, row: SessionRow) -> SessionRow:
        """One session."""
        ended = None if row.ended is None else self.moment(row.ended)
        return replace(
            row,
            session=self.sessions.of(row.session),
            began=self.moment(row.began),
            ended=ended,
            plan="",
            seed=None,
            note="",
        )

    def gap(self, row: GapRow) -> GapRow:
        """One shot of the gapping table."""
        return replace(row, club=self.club(row.club))


def nameless_from(moments: Iterable[datetime]) -> Nameless:
    """What to turn rows into, whose first moment is among `moments`."""
    first = min((moment.date() for moment in moments), default=FIRST_DAY)
    return Nameless(FIRST_DAY - first, Numbers(""), Numbers(""), Numbers(""), Numbers("own club "), Numbers("flag-"))
