"""How the estimates move while a session runs: sums over a frozen history, safe in any thread."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.calling import BallToCome, call
from trainer.application.estimates.gapping import cell_words
from trainer.application.estimates.learning import Known, learn, learn_on, thinned
from trainer.application.estimates.snapshot import CellFigures, Snapshot, snapshot
from trainer.application.evidence.history import History
from trainer.application.session.drill_aim import Evening
from trainer.application.session.session_picture import Shown, Steps, session_picture
from trainer.application.views.practice import FiguresView, StripView
from trainer.core.bag import Cell
from trainer.core.estimate.online import refresh
from trainer.core.units import UnitChoice, change_from_si, counted, from_si, whole

NOTICEABLE_M = 0.5


@dataclass(frozen=True, slots=True)
class FiguresWish:
    """What to work out: the cell of interest after the change that made `version`, seen at `as_of`.

    `before` is `history` without this session's shots, in its winds: what was known before the first ball. `ball` is
    the one to be called.
    """

    version: int
    session_id: int
    history: History
    before: History
    stated: StatedConditions
    as_of: datetime
    cell: Cell | None
    target_m: float | None = None
    ball: BallToCome | None = None
    evening: Evening | None = None


class LiveFigures:
    """The sums of one running session: what is known now, and what was before its first ball. For one thread.

    `_steps` holds what was known before the last ball, and before the first ball of the block that goes on.
    """

    def __init__(self) -> None:
        self._before: Known | None = None
        self._now: Known | None = None
        self._session_id: int | None = None
        self._steps = Steps()

    def work_out(self, wish: FiguresWish) -> FiguresView:
        """The view at once: draws that stand are reweighted by what is new."""
        if wish.session_id != self._session_id:
            self._session_id, self._before, self._now = wish.session_id, None, None
            self._steps = Steps()
        if self._before is None:
            self._before = learn(wish.before, wish.as_of)
        else:
            self._before = learn_on(self._before, wish.before, wish.as_of)
        earlier = self._now or self._before
        self._now = learn_on(earlier, wish.history, wish.as_of)
        self._steps.take(wish.session_id, wish.history, wish.evening, earlier, self._now)
        return self._view(wish, self._before, self._now)

    def settle(self, wish: FiguresWish, is_stale: Callable[[], bool]) -> FiguresView | None:
        """The view from draws that are drawn anew, for when there is time.

        None where the last one stood on such, and where `wish` went stale meanwhile: a new ball never waits for an
        old one's figures, and its own draws are drawn anew in their turn.
        """
        if self._before is None or self._now is None or self._now.posterior.current:
            return None
        fresh = _drawn_anew(self._now, is_stale)
        if fresh is None:
            return None
        self._now = fresh
        return self._view(wish, self._before, self._now)

    def _view(self, wish: FiguresWish, before: Known, now: Known) -> FiguresView:
        if wish.cell is None:
            return FiguresView(wish.version, wish.session_id, "", None, "")
        hit = [shot.cell for shot in wish.history.shots if shot.session_id == wish.session_id]
        only = tuple(dict.fromkeys([wish.cell, *hit]))
        table = snapshot(wish.history, wish.stated, wish.as_of, known=now, only=only)
        start = snapshot(wish.before, wish.stated, wish.as_of, known=before, only=only)
        units = wish.history.profile.units
        figures, earlier = _figures(table, wish.cell), _figures(start, wish.cell)
        return FiguresView(
            version=wish.version,
            session_id=wish.session_id,
            cell=cell_words(wish.cell, units),
            strip=None if figures is None else _strip(figures, earlier or figures, wish.target_m, units),
            words="this shot is not in the table" if figures is None else _words(figures, units),
            moved=moved_words(start, table, wish.history, wish.session_id),
            called=None if wish.ball is None else call(now, wish.ball),
            picture=None
            if figures is None or earlier is None or wish.evening is None
            else session_picture(
                Shown(wish.cell, wish.target_m, wish.history, wish.evening, table, wish.stated),
                now,
                earlier.carry_today_m,
                self._steps,
            ),
        )


def _drawn_anew(known: Known, is_stale: Callable[[], bool]) -> Known | None:
    """The same evidence with fresh draws; None where that is given up between two sweeps."""
    rng = np.random.default_rng(known.seed)
    for step in refresh(known.posterior, known.evidence.observations, rng):
        if step.posterior is not None:
            return replace(known, posterior=thinned(step.posterior))
        if is_stale():
            break
    return None


def _figures(table: Snapshot, cell: Cell) -> CellFigures | None:
    return next((each for each in table.cells if each.cell == cell), None)


def _strip(figures: CellFigures, before: CellFigures, target_m: float | None, units: UnitChoice) -> StripView:
    now, then = figures.carry_today_m, before.carry_today_m
    low, median, high, then_low, then_high = (
        from_si(value, units.distance) for value in (now.low80, now.median, now.high80, then.low80, then.high80)
    )
    target = None if target_m is None else from_si(target_m, units.distance)
    return StripView(low, median, high, then_low, then_high, target, units.distance)


def _words(figures: CellFigures, units: UnitChoice) -> str:
    carry = figures.carry_today_m
    low, median, high = (whole(from_si(value, units.distance)) for value in (carry.low80, carry.median, carry.high80))
    balls = "no ball yet" if figures.shots == 0 else counted(figures.shots, "ball")
    trust = "a guess" if figures.shots == 0 else str(figures.trust)
    return f"today {median} {units.distance}, 8 in 10 within {low}–{high}; {balls}, {trust}"


def moved_words(start: Snapshot, now: Snapshot, history: History, session_id: int) -> tuple[str, ...]:
    """A line for each cell hit in the session: its carry today, and what was thought before the first ball."""
    hit: Sequence[Cell] = tuple(dict.fromkeys(s.cell for s in history.shots if s.session_id == session_id))
    units = history.profile.units
    lines = []
    for cell in hit:
        after, before = _figures(now, cell), _figures(start, cell)
        if after is None or before is None:
            continue
        balls = sum(shot.cell == cell for shot in history.shots if shot.session_id == session_id)
        change_m = after.carry_today_m.median - before.carry_today_m.median
        if abs(change_m) < NOTICEABLE_M:
            said = "as before"
        else:
            amount = whole(abs(change_from_si(change_m, units.distance)))
            said = f"{amount} {units.distance} {'less' if change_m < 0 else 'more'} than thought"
        carry = after.carry_today_m
        median, low, high = (whole(from_si(v, units.distance)) for v in (carry.median, carry.low80, carry.high80))
        name = cell_words(cell, units)
        lines.append(f"{name:32.32} {balls:>2} hit  {median:>3} ({low}–{high})  {said}")
    return tuple(lines)
