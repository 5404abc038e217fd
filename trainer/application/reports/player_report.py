"""A player's report: how far each shot goes, whether practice stayed, and what is still not known."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.gapping import advice, rows_that_matter
from trainer.application.estimates.snapshot import CellFigures, Snapshot, snapshot
from trainer.application.evidence.history import read_history
from trainer.application.reports.progress import Kind, KindProgress, Progress, agendas_of, progress_of
from trainer.application.reports.progress_words import progress_data
from trainer.application.views.words import gaps_data
from trainer.core.profile import Profile
from trainer.core.units import counted
from trainer.store.store import Store

KIND_NAMES = {
    Kind.RETENTION: "What stayed (first balls, a day or more later)",
    Kind.TRANSFER: "What carries over (mixed targets, no feedback)",
    Kind.PRACTICE: "Practice itself",
}


@dataclass(frozen=True, slots=True)
class PlayerReport:
    """What is reported of one player as of `table.as_of`."""

    profile: Profile
    table: Snapshot
    progress: Progress
    sessions: int

    @property
    def rows(self) -> tuple[CellFigures, ...]:
        """The shots that are shown: those hit and their neighbours."""
        return rows_that_matter(self.table, self.profile.bag)


def make_report(
    store: Store, alias: str | None, stated: StatedConditions, asked: datetime | None, now: datetime
) -> PlayerReport:
    """The report up to `asked`, or up to `now` where no moment is asked for. Raises InputError."""
    history = read_history(store, alias, asked)
    as_of = asked or now
    return PlayerReport(
        profile=history.profile,
        table=snapshot(history, stated, as_of),
        progress=progress_of(history, agendas_of(store, history), as_of),
        sessions=len({shot.session_id for shot in history.shots}),
    )


def progress_sentences(progress: Progress) -> tuple[str, ...]:
    """Progress in words, a sentence a kind of balls, then called ranges and load. No change that is not shown."""
    calls, load = progress.calls, progress.load
    called = (
        f"Of {counted(calls.balls, 'ball')} called before being hit, {calls.held_80} landed where 8 in 10 should."
        if calls.balls
        else "No ball was called before it was hit yet."
    )
    return (
        *(f"{KIND_NAMES[each.kind]}: {_kind_words(each)}" for each in progress.kinds),
        called,
        f"Load: {counted(load.balls, 'ball')} in {counted(load.sessions, 'session')}, "
        f"{load.balls_last_week} in the last seven days.",
    )


def _kind_words(each: KindProgress) -> str:
    if each.balls == 0:
        return "no ball with a target and a seen carry yet."
    days = f"{counted(each.balls, 'ball')} on {counted(each.days, 'day')}"
    if each.raw is None:
        return f"{days}; {each.verdict}."
    least = max(each.raw.low95, 0.0)  # an error below 0 there is not
    level = f"{days}, off by {each.raw.mean:.0f} % of the target ({least:.0f}–{each.raw.high95:.0f})"
    if each.change is None:
        return f"{level}; {each.verdict}."
    by = f"{abs(each.change.difference):.0f} ± {each.change.plus_minus95:.0f} %"
    return f"{level}; {each.verdict} from the earlier days to the later ({by})."


def unknown_sentences(report: PlayerReport) -> tuple[str, ...]:
    """What is not known yet, and what would tell it."""
    said = advice(report.table, report.profile.units)
    return said or ("Nothing stands out: hit what is due, and a day in another wind.",)


def report_data(report: PlayerReport) -> dict[str, Any]:
    """The report in SI."""
    return {
        "player": report.profile.alias,
        "sessions": report.sessions,
        "gaps": gaps_data(report.table, report.profile),
        "progress": progress_data(report.progress),
    }
