"""What a person who types a session at a terminal is told: what is expected, how to end, and which ball is next.

All of it goes to standard error: standard output holds what was kept, as with a file or a pipe.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from trainer.cli.context import Context

if TYPE_CHECKING:
    from trainer.application.planning.agenda import PlannedSession
    from trainer.application.session.recording import Kept, Recorder
    from trainer.application.session.said_first import Asked
    from trainer.core.profile import Profile
    from trainer.core.units import UnitChoice
    from trainer.store.records import NewBall
    from trainer.store.store import Store

HOW_TO_END = "End with Ctrl-D on a line of its own (on Windows Ctrl-Z, then Enter)."
WITH_A_PLAN = (
    "One line a ball, then Enter: `142 6L` is how far and how far left the ball named below went, `x` a mishit, "
    "`-` not seen; another shot is `7 iron, 1 in, three-quarter: 142 6L`."
)
WITHOUT_A_PLAN = (
    "One line a ball, then Enter: `7 iron, 1 in, three-quarter: 142 6L` is the shot, how far and how far left it "
    "went; `7 iron: x` a mishit, `7 iron: -` not seen."
)
OTHER_LINES = "Other lines: `wind 14mph 1h` a new reading, `flag red 150` a flag, `thunder` begins the wait."
PLAN_LINES = "`instead 7 iron, half: knee hurts` and `skip tired` change the next ball."
NONE_WAITS = "No ball of the plan waits. A shot more needs its club: `7 iron: 142`."

ASKED_FIRST = {
    "say": "First type how far it will carry, such as `say 130`.",
    "guess": "First type the wind as you feel it, such as `guess 12mph 1h`.",
    "wind": "Now type the reading, such as `wind 14mph 1h`.",
}
"""By the first word of the line that a ball's drill asks for."""


def is_typed(file: str | None, context: Context) -> bool:
    """Whether a person types the lines at a terminal, and asked for no JSON."""
    return file in (None, "-") and context.stdin.isatty() and not context.json


class Guide:
    """Tells a person at the terminal what is next, before each line of his."""

    def __init__(self, context: Context, store: Store) -> None:
        self._context, self._store = context, store
        self._guessed_at: int | None = None

    def begin(self, taken: Sequence[str], planned: PlannedSession | None, profile: Profile) -> None:
        """Before the first line: what is expected, how to end, what is `taken` for granted, and the first ball."""
        from trainer.application.planning.agenda import new_balls
        from trainer.application.session.said_first import asked_for
        from trainer.core.schedule.stages import Stage

        how = [WITHOUT_A_PLAN, OTHER_LINES] if planned is None else [WITH_A_PLAN, f"{OTHER_LINES} {PLAN_LINES}"]
        for line in [*how, HOW_TO_END, *taken]:
            self._context.prompt(line)
        if planned is not None:
            balls = (ball for ball in new_balls(planned.agenda) if ball.stage != Stage.WARM_UP)
            first = next(balls, None)
            self._name(first, asked_for(first, (), (), None), profile.units)

    def go_on(self, recorder: Recorder, kept: Kept | None, at: datetime) -> None:
        """Before another line: the next ball with the range that is called for it now. `kept` is the last line."""
        from trainer.application.session.next_ball import ball_to_record, called_now
        from trainer.application.session.said_first import asked_for

        if recorder.planned is None:
            return
        session, shots = recorder.session, self._store.shots(recorder.session.id)
        if kept is not None and kept.said is not None and kept.said.wind_mps is not None:
            self._guessed_at = len(shots)
        said = [each for each in self._store.own_calls(session.player_id) if each.session_id == session.id]
        ball = ball_to_record(self._store, recorder)
        called = None if ball is None else called_now(recorder, ball, at)
        self._name(called, asked_for(ball, said, shots, self._guessed_at), recorder.profile.units)

    def _name(self, ball: NewBall | None, asked: Asked, units: UnitChoice) -> None:
        """The next ball in a line, and what its drill wants typed first; who says a carry sees no called range."""
        from trainer.application.session.live_words import next_ball_words
        from trainer.application.session.said_first import SAY

        if ball is None:
            self._context.prompt(NONE_WAITS)
            return
        shown = replace(ball, called_50_m=None, called_80_m=None) if asked.word == SAY else ball
        self._context.prompt(next_ball_words(shown, units))
        if asked.word:
            self._context.prompt(f"  {ASKED_FIRST[asked.word]}")
