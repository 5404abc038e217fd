"""What a running session draws beside its next ball: frozen, in words, ready to draw. Nothing heavy is loaded."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.application.views.look import Bar, Hump, PatternView, Tick


@dataclass(frozen=True, slots=True)
class TickBall:
    """A ball of the session at its place on the axis of carries; `newest` is the last one, `mishit` one marked so."""

    at: float
    newest: bool = False
    mishit: bool = False


@dataclass(frozen=True, slots=True)
class CarryPicture:
    """What is known of the next ball's carry: `now`, and its range before the last ball and before the first.

    `before_ball` is None where no ball was hit yet. `balls` are the session's of this shot, oldest first, each moved
    to the wind of now; `target` is a place on the axis, None without one.
    """

    now: Hump
    before_ball: Bar | None
    before_first: Bar
    target: float | None
    balls: tuple[TickBall, ...]
    ticks: tuple[Tick, ...]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BlockEnd:
    """What a block's balls changed, in two or three lines. `key` tells one end of a block from another.

    `test` says that the block gave no feedback, so that nobody looks at it while the test goes on.
    """

    key: tuple[int, int]
    lines: tuple[str, ...]
    test: bool


@dataclass(frozen=True, slots=True)
class SessionPicture:
    """The pictures of the next ball's shot: its carry, where its balls of this session fell, and the block's aim.

    `aim` says what the block is to reach, which may be read in a test too; `reached` how far that is. `calls` hold
    what the player said first against what came.
    """

    shot: str
    carry: CarryPicture | None
    pattern: PatternView | None
    aim: str
    reached: tuple[str, ...]
    calls: tuple[str, ...]
    ended: BlockEnd | None = None
