"""The ball to be hit next and the range called for it, told before the line of it is typed; nothing changes."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from trainer.application.session.ball_seen import seen_by
from trainer.application.session.recording import Recorder
from trainer.core.schedule.stages import Stage
from trainer.core.shot import ShotEntry
from trainer.store.records import BallState, NewBall
from trainer.store.store import Store


def ball_to_record(store: Store, recorder: Recorder) -> NewBall | None:
    """The ball that the next shot falls to, the first that waits and is no warm-up; None where none does."""
    waiting = (each.ball for each in store.agenda(recorder.session.id) if each.state is BallState.WAITING)
    return next((ball for ball in waiting if ball.stage != Stage.WARM_UP), None)


def called_now(recorder: Recorder, ball: NewBall, at: datetime) -> NewBall:
    """`ball` with the range that would be kept with it if it were hit at `at`; the plan's where none is newer."""
    flag = None if ball.flag is None else recorder.profile.flag(ball.flag)
    seen = seen_by(ShotEntry(), recorder.stated, recorder.profile)
    called = None if recorder.caller is None else recorder.caller(recorder.to_come(ball.cell, flag, seen, at), at)
    if called is None:
        return ball
    return replace(ball, called_50_m=called.range_50_m, called_80_m=called.range_80_m)
