"""What an agenda is made of: its balls, its swaps, and what is said before the first ball."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.core.bag import Cell
from trainer.core.schedule.block import Block
from trainer.core.schedule.stages import Stage


@dataclass(frozen=True, slots=True)
class Called:
    """Where a struck ball is called to carry before it is hit, m: median, and the ends of 50 and 80 %."""

    median_m: float
    low50_m: float
    high50_m: float
    low80_m: float
    high80_m: float


@dataclass(frozen=True, slots=True)
class AgendaBall:
    """One ball. `target_m` is None where nothing is aimed at; `flag` is the name of the flag to aim at.

    `called` is None where nothing is believed of the shot. `flight_checked` is None for a full swing, else whether
    this player's low flight with that swing was shown to be low. `block` is the place of its block in the agenda, -1
    for the warm-up. `override` is the reason of whoever put another shot in its place.
    """

    number: int
    drill: str
    cell: Cell
    target_m: float | None
    stage: Stage
    cue: str
    reason: str
    flag: str | None = None
    called: Called | None = None
    flight_checked: bool | None = None
    rest_after: bool = False
    block: int = -1
    override: str = ""


@dataclass(frozen=True, slots=True)
class SwappedBlock:
    """A block that today cannot teach: its drill, what it was with its clubs, why not, and the drill in its place."""

    drill: str
    what: str
    why: str
    instead: str


@dataclass(frozen=True, slots=True)
class Agenda:
    """The balls, the swaps, and what else is to be said before the first ball.

    `blocks` are those the balls came of, as they were asked for, before any was swapped.
    """

    balls: tuple[AgendaBall, ...]
    swaps: tuple[SwappedBlock, ...] = ()
    notes: tuple[str, ...] = ()
    blocks: tuple[Block, ...] = ()
