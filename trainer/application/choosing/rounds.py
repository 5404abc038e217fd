"""In a round only the card is shown, the one made before it: Rule 4.3a, Rules of Golf 2023. Local rules decide.

A round is begun and ended by the player. One that he forgets ends by itself at the end of its local day: nobody plays
past midnight, and the trainer is there again the next morning.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Any

from trainer.application.evidence.history import local
from trainer.core.errors import InputError
from trainer.store.records import RoundRecord
from trainer.store.store import Store

WORDS = (
    "you are in a round: only the card made before it is shown (Rule 4.3a, Rules of Golf 2023; local rules decide)"
)
REMEDY = "see it with `trainer card`; end the round with `trainer round end`, or it ends by itself at midnight"


@dataclass(frozen=True, slots=True)
class RoundLock:
    """A round that is on: since when, when it ends by itself, and the card that was made before it, by form."""

    id: int
    started_at: datetime
    ends_at: datetime
    card: Mapping[str, str]

    @property
    def words(self) -> str:
        """One line for a screen or a command."""
        return f"{WORDS[0].upper()}{WORDS[1:]}. Begun {self.started_at:%H:%M}."


def round_on(store: Store, alias: str | None, now: datetime) -> RoundLock | None:
    """The round that a player is in at `now`, None where he is in none."""
    if not store.players():
        return None
    latest = store.latest_round(store.player(alias).id)
    return None if latest is None else lock_of(latest, now)


def lock_of(latest: RoundRecord, now: datetime) -> RoundLock | None:
    """The lock of the round begun last; None where it was ended, or its local day is over."""
    started = local(latest.started_at)
    ends = datetime.combine(started.date() + timedelta(days=1), time())
    if latest.ended_at is not None or local(now) >= ends:
        return None
    return RoundLock(latest.id, started, ends, latest.card)


def require_no_round(store: Store, alias: str | None, now: datetime) -> None:
    """Raise InputError in one plain line where the player is in a round: what advises is not shown then."""
    if round_on(store, alias, now) is not None:
        raise InputError(WORDS, "", REMEDY)


def start_round(store: Store, alias: str | None, now: datetime, card: Mapping[str, str]) -> RoundLock:
    """Begin a round with the card as printed, by form. Raises InputError where one is on."""
    held = round_on(store, alias, now)
    if held is not None:
        raise InputError(
            f"a round is on since {held.started_at:%H:%M}", "round start", "end it with `trainer round end`"
        )
    lock = lock_of(store.start_round(store.player(alias).id, now, card), now)
    if lock is None:
        raise RuntimeError("a round just begun is not on")
    return lock


def end_round(store: Store, alias: str | None, now: datetime) -> RoundLock:
    """End the round that is on. Raises InputError where none is."""
    held = round_on(store, alias, now)
    if held is None:
        raise InputError(
            "no round is on", "round end", "nothing is locked; enter approaches with `trainer course-log`"
        )
    store.end_round(held.id, now)
    return held


def lock_data(lock: RoundLock | None) -> dict[str, Any]:
    """Whether a round is on, for a program."""
    if lock is None:
        return {"in_round": False, "started_at": None, "ends_by_itself_at": None}
    return {
        "in_round": True,
        "started_at": lock.started_at.isoformat(),
        "ends_by_itself_at": lock.ends_at.isoformat(),
    }
