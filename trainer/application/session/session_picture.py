"""The pictures beside the next ball, and the end of a block, from what was known step by step."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.learning import Known, learn
from trainer.application.estimates.snapshot import Range80, Snapshot, narrowed
from trainer.application.evidence.history import History
from trainer.application.flights.cell_page import balls_of
from trainer.application.flights.pattern import session_pattern
from trainer.application.session.block_end import Ended, Moved, block_end, ended_block
from trainer.application.session.carry_picture import Seen, carry_picture
from trainer.application.session.drill_aim import INTERVAL_WIDTH, Evening, aim_words
from trainer.application.session.live_words import short_cell
from trainer.application.session.said_first import call_lines
from trainer.application.views.practice import harmless
from trainer.application.views.session_pictures import BlockEnd, SessionPicture
from trainer.core.bag import Cell
from trainer.core.estimate import report
from trainer.store.records import NewBall


class Steps:
    """What was known before the last ball, and before the first ball of the block that goes on or has just ended."""

    def __init__(self) -> None:
        self.before_ball: Known | None = None
        self._shots: tuple[int, ...] | None = None
        self._block_starts: dict[int, Known] = {}

    def take(self, session_id: int, history: History, evening: Evening | None, earlier: Known, now: Known) -> None:
        """One more change of the session: `earlier` was known before it, `now` is after."""
        ids = tuple(shot.id for shot in history.shots if shot.session_id == session_id)
        if ids != self._shots:
            # One ball more, or else balls that were taken back or hit while nobody looked.
            self.before_ball = earlier if self._shots is not None and ids[:-1] == self._shots else None
            self._shots = ids
        if evening is None:
            return
        ball, ended = evening.next_ball, ended_block(evening)
        if ball is not None and ball.block >= 0 and not evening.begun(ball.block):
            self._block_starts[ball.block] = now
        wanted = {None if ball is None else ball.block, None if ended is None else ended.block}
        self._block_starts = {block: known for block, known in self._block_starts.items() if block in wanted}

    def before_block(self, ended: Ended, history: History, session_id: int, as_of: datetime) -> Known:
        """What was known before a block's first ball; worked out anew where the session was gone on with since."""
        if ended.block not in self._block_starts:
            before = tuple(
                shot
                for shot in history.shots
                if shot.session_id != session_id or shot.agenda_number not in ended.numbers
            )
            self._block_starts[ended.block] = learn(replace(history, shots=before), as_of)
        return self._block_starts[ended.block]


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """What is shown: the next ball's cell in the table's conditions, in the session as it stands."""

    cell: Cell
    target_m: float | None
    history: History
    evening: Evening
    table: Snapshot
    stated: StatedConditions


def session_picture(shown: Shown, now: Known, before_first: Range80, steps: Steps) -> SessionPicture:
    """The pictures of the next ball's shot. `before_first` is its carry as it was thought before the first ball."""
    history, evening, units = shown.history, shown.evening, shown.history.profile.units
    seen = Seen(shown.cell, shown.table, shown.stated)
    balls = [ball for ball in balls_of(history, shown.cell, now) if ball.shot.session_id == evening.session_id]
    said = aim_words(history, evening, evening.next_ball, _widths_m(evening, evening.next_ball, now))
    shots = [shot for shot in history.shots if shot.session_id == evening.session_id]
    readings = [each for each in history.readings.values() if each.session_id == evening.session_id]
    mine = [each for each in evening.said if each.session_id == evening.session_id]
    return SessionPicture(
        shot=harmless(short_cell(shown.cell, units)),
        carry=carry_picture(seen, now, steps.before_ball, before_first, balls, shown.target_m, units),
        pattern=session_pattern([ball.shot for ball in balls], shown.target_m, units),
        aim=harmless(said.aim),
        reached=tuple(harmless(line) for line in said.reached),
        calls=call_lines(mine, shots, readings, units),
        ended=_ended(shown, now, steps),
    )


def _widths_m(evening: Evening, ball: NewBall | None, now: Known) -> dict[Cell, float]:
    """How wide the still-air estimates of a ball's block are, m, where its aim is about that."""
    block = None if ball is None else evening.block(ball)
    if ball is None or block is None or block.aim is None or block.aim.measure != INTERVAL_WIDTH:
        return {}
    cells = {each.ball.cell for each in evening.agenda if each.ball.block == ball.block}
    held = [cell for cell in cells if cell in now.bench.index]
    here = np.array([now.bench.index[cell] for cell in held], dtype=np.int64)
    still = report.still_air_carry(narrowed(now.posterior, here))
    return {cell: float(still.high80[i] - still.low80[i]) for i, cell in enumerate(held)}


def _ended(shown: Shown, now: Known, steps: Steps) -> BlockEnd | None:
    """What the block changed that has just come to its end."""
    history, evening = shown.history, shown.evening
    ended = ended_block(evening)
    if ended is None:
        return None
    own = [shot for shot in history.shots if shot.session_id == evening.session_id]
    hit = dict.fromkeys(shot.cell for shot in own if shot.agenda_number in ended.numbers)
    before = steps.before_block(ended, history, evening.session_id, shown.table.as_of)
    moved = []
    for cell in hit:
        if cell in now.bench.index and cell in before.bench.index:
            seen = Seen(cell, shown.table, shown.stated)
            moved.append(Moved(cell, seen.range_m(before), seen.range_m(now)))
    if not moved:
        return None
    last = next(each.ball for each in reversed(evening.agenda) if each.number in ended.numbers)
    block = evening.block(last)
    aim: tuple[str, ...] = ()
    if block is not None and block.aim is not None:
        said = aim_words(history, evening, last, _widths_m(evening, last, now))
        aim = (f"{said.aim}: {' '.join(said.reached)}",)
    return block_end(ended, moved, aim, history, now, evening.session_id)
