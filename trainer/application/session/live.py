"""The session on screen: every change is in the store when the call returns, and the answer is a frozen view.

It holds no shot of its own: what it shows is read back from the store, so that going on after a fall is the same as
going on after a breath.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime

from trainer.application.estimates.calling import Call
from trainer.application.session.live_words import (
    ball_view,
    called_words,
    heard_words,
    planned_title,
    shot_rows,
    wind_warning,
)
from trainer.application.session.recording import WARMED_UP, Kept, Recorder
from trainer.application.session.replanning import NewRest, RestWish, changes_in_short, keep_rest, rest_wish
from trainer.application.session.said_first import (
    HIDDEN_WIND,
    SAY,
    Asked,
    asked_for,
    guess_beside,
    said_beside,
    said_words,
)
from trainer.application.session.shot_list import correct_shot
from trainer.application.session.typed_check import entry_words
from trainer.application.views.practice import BallView, SessionView, WindView, harmless
from trainer.application.views.wind import named_wind, view_wind
from trainer.core.bag import Cell
from trainer.core.conditions import UNKNOWN_WIND, ReadingMethod, Wind, WindKnowledge
from trainer.core.errors import InputError
from trainer.core.schedule.stages import Stage
from trainer.core.shot import ShotEntry
from trainer.core.units import from_si, to_si
from trainer.store.records import AgendaBallRecord, BallState, Mark, OwnCall, ReadingRecord, ShotRecord
from trainer.store.store import Store

WIND_CHECK_EVERY = 6
REST_EVERY = 15
"""Balls between two looks at the wind, and between two rests (common practice)."""

FINISH_BALLS = 5
LOOK_LATER = "kept; look at it when the test is over"
STRONGER, WEAKER = 1.3, 0.75
"""What "more" and "less" wind do to the last reading: about one Beaufort number at practice winds."""

WindCosts = Callable[[Wind], tuple[str, ...]]


class LiveSession:
    """An open session, and what only the evening knows: the last look at the wind, the last rest."""

    def __init__(self, store: Store, recorder: Recorder, costs: WindCosts, notes: tuple[str, ...] = ()) -> None:
        self.recorder = recorder
        self._store = store
        self._costs = costs
        self._notes = notes
        self._version = 0
        self._looked_at = -1
        self._rested_at = 0
        self._guessed_at: int | None = None
        self._corrected: set[int] = {shot.id for shot in store.shots(self.session_id) if store.revisions(shot.id)}

    @property
    def session_id(self) -> int:
        """The session's id in the store."""
        return self.recorder.session.id

    @property
    def version(self) -> int:
        """That of the last view."""
        return self._version

    def record(self, text: str, at: datetime, mark: Mark | None = None) -> SessionView:
        """Keep one typed line. Raises InputError with nothing kept."""
        kept = self.recorder.correct_wind(text, at) or self.recorder.line(text, at, mark)
        if kept.shot is not None:
            return self._shot_kept(kept.shot, mark)
        if kept.reading is not None:
            self._looked_at = -1
            words = named_wind(view_wind(kept.reading.wind, self.recorder.profile.units))
            return self.view(said=self._wind_said(words, kept.reading))
        if kept.said is not None and kept.said.wind_mps is not None:
            self._guessed_at = len(self._store.shots(self.session_id))
        return self.view(said=self._said_of(kept))

    def _shot_kept(self, shot: ShotRecord, mark: Mark | None) -> SessionView:
        """What was kept and, beneath it, what was said first; while a test runs nothing of where the ball went."""
        units = self.recorder.profile.units
        if shot.agenda_number in _in_running_test(self._store.agenda(self.session_id)):
            return self.view(said=LOOK_LATER)
        words = f"kept: {entry_words(shot.entry, units)}{f', in a {mark}' if mark else ''}"
        beside = said_beside(shot, self.own_calls(), units)
        return self.view(said=f"{words}; {beside}" if beside else words, heard=heard_words(shot, units))

    def own_calls(self) -> tuple[OwnCall, ...]:
        """What the player said first in this session."""
        every = self._store.own_calls(self.recorder.session.player_id)
        return tuple(each for each in every if each.session_id == self.session_id)

    def _wind_said(self, words: str, reading: ReadingRecord) -> str:
        """The reading that was kept, the guess of it, and below it what such a wind calls for."""
        beside = guess_beside(reading, self.own_calls(), self.recorder.profile.units)
        warning = wind_warning(reading.wind, self.recorder.profile)
        return "\n".join(part for part in (f"kept: {words}", beside, warning) if part)

    def _said_of(self, kept: Kept) -> str:
        """What was kept, where it was neither a shot nor a wind."""
        if kept.flag is not None:
            return f"kept: flag {kept.flag.name}"
        if kept.said is not None:
            return f"kept: {said_words(kept.said, self.recorder.profile.units)}"
        if kept.thunder_at is not None:
            return f"kept: thunder at {kept.thunder_at:%H:%M}"
        if kept.ball is not None and kept.ball.state is BallState.SKIPPED:
            return f"ball {kept.ball.number} skipped: {kept.ball.skip_reason}"
        return "" if kept.ball is None else f"ball {kept.ball.number} changed: {kept.ball.ball.override}"

    def record_marked(self, text: str, at: datetime, mark: str) -> SessionView:
        """As `record`; `mark` is `gust`, `lull` or empty."""
        return self.record(text, at, Mark(mark) if mark else None)

    def correct(self, shot_id: int, text: str, at: datetime) -> SessionView:
        """Put what `text` says in place of a shot of this session; the old values are kept."""
        shot = correct_shot(self._store, self.recorder.profile, self._own(shot_id).id, text, at)
        self._corrected.add(shot.id)
        return self.view(said=f"corrected: {entry_words(shot.entry, self.recorder.profile.units)}")

    def undo(self, shot_id: int | None, at: datetime) -> SessionView:
        """Take a shot back, the last one where none is named; its ball waits again."""
        shot = self._own(shot_id)
        words = self._told(shot, shot.entry)
        self._store.undo_shot(shot.id, at)
        return self.view(said=f"taken back: {words}")

    def toggle_mishit(self, shot_id: int | None, at: datetime) -> SessionView:
        """Mark a shot as a mishit, or take the mark off; the last one where none is named."""
        shot = self._own(shot_id)
        entry = replace(shot.entry, mishit=not shot.entry.mishit)
        if entry == replace(entry, mishit=False) and _says_nothing(entry):
            raise InputError("the mishit is all that is known of this ball", "mishit", "correct it, or take it back")
        self._store.correct_shot(shot.id, at, entry=entry)
        self._corrected.add(shot.id)
        words = "marked a mishit" if entry.mishit else "no mishit after all"
        return self.view(said=f"{words}: {self._told(shot, entry)}")

    def next_mark(self, shot_id: int, at: datetime) -> SessionView:
        """Gust, lull, neither, in turn: for a shot that was recorded."""
        shot = self._own(shot_id)
        mark = {None: Mark.GUST, Mark.GUST: Mark.LULL, Mark.LULL: None}[shot.mark]
        self._store.set_mark(shot.id, mark, at)
        self._corrected.add(shot.id)
        met = f"it met a {mark}" if mark else "neither gust nor lull"
        return self.view(said=f"{met}: {self._told(shot, shot.entry)}")

    def _told(self, shot: ShotRecord, entry: ShotEntry) -> str:
        """A shot as it is named to the player: by its number alone while its result must not be looked at."""
        if shot.agenda_number in _in_running_test(self._store.agenda(self.session_id)):
            return f"shot {shot.number}"
        return entry_words(entry, self.recorder.profile.units)

    def _own(self, shot_id: int | None) -> ShotRecord:
        shots = self._store.shots(self.session_id)
        if not shots:
            raise InputError("no shot is recorded yet", "session", "hit one first")
        if shot_id is None:
            return shots[-1]
        for shot in shots:
            if shot.id == shot_id:
                return shot
        raise InputError("this shot was taken back", "session", "choose another")

    def warm(self) -> SessionView:
        """Go on to the next shot of the warm-up, past all its balls of one cell."""
        ball = self.recorder.waiting_ball()
        if ball is None or ball.ball.stage != Stage.WARM_UP:
            raise InputError("the warm-up is over", "session", "type where the ball went")
        cell = ball.ball.cell
        while ball is not None and ball.ball.stage == Stage.WARM_UP and ball.ball.cell == cell:
            self._store.mark_ball(self.session_id, ball.number, BallState.SKIPPED, WARMED_UP)
            ball = self.recorder.waiting_ball()
        return self.view()

    def skip(self, reason: str) -> SessionView:
        """Leave the next ball out, with the reason."""
        ball = self.recorder.waiting_ball()
        if ball is None:
            raise InputError("no ball waits", "skip", "there is nothing to skip")
        words = harmless(" ".join(reason.split()))[:80]
        if not words:
            raise InputError("why is it skipped?", "skip", "write such as skip tired")
        self._store.mark_ball(self.session_id, ball.number, BallState.SKIPPED, words)
        return self.view(said=f"ball {ball.number} skipped: {words}")

    def five_left(self) -> SessionView:
        """Keep five balls for a finish without feedback, those of the plan's own test first; skip the others."""
        waiting = [ball for ball in self._store.agenda(self.session_id) if ball.state is BallState.WAITING]
        if not waiting:
            raise InputError("no ball waits", "five left", "the plan is done")
        kept = _finish(waiting)
        numbers = {ball.number for ball in kept}
        for ball in waiting:
            if ball.number not in numbers:
                self._store.mark_ball(self.session_id, ball.number, BallState.SKIPPED, "five balls left")
        self._store.put_agenda(self.session_id, [replace(ball.ball, stage=Stage.TEST.value) for ball in kept])
        return self.view(said=f"{len(kept)} balls to the end: look at no result until the last is hit")

    def hear_thunder(self, at: datetime) -> SessionView:
        """Thunder was heard: the wait begins, or begins anew."""
        return self.view(said=self._said_of(Kept(thunder_at=self.recorder.hear_thunder(at))))

    def take_thunder_back(self) -> SessionView:
        """It was no thunder."""
        self._store.take_thunder_back(self.session_id)
        return self.view(said="no thunder after all")

    def rest_wish(self, at: datetime) -> RestWish | None:
        """What is to be planned anew after a change; None where nothing is."""
        return rest_wish(self._store, self.recorder, at)

    def keep_rest(self, rest: NewRest) -> SessionView | None:
        """Put a new rest in place of the old and say what changed; None where it came too late."""
        if rest.session_id != self.session_id or not keep_rest(self._store, rest):
            return None
        return self.view(said=changes_in_short(rest.changes))

    def keep_call(self, call: Call) -> tuple[int, str] | None:
        """Keep where the next ball is called to land: its number and the words. None where it is another by now."""
        ball = self.recorder.waiting_ball()
        reading_id = None if self.recorder.reading is None else self.recorder.reading.id
        if ball is None or (ball.ball.cell, reading_id) != (call.cell, call.reading_id):
            return None
        if not self._store.call_ball(self.session_id, ball.number, call.range_50_m, call.range_80_m):
            return None
        called = replace(ball.ball, called_50_m=call.range_50_m, called_80_m=call.range_80_m)
        return ball.number, called_words(called, self.recorder.profile.units)

    def same_wind(self) -> SessionView:
        """The wind was looked at and is the same: no new reading, for nothing was read."""
        self._looked_at = self.recorder.shots_in_this_wind
        return self.view(said="the wind is the same")

    def change_wind(self, *, more: bool, at: datetime) -> SessionView:
        """More or less wind than the last reading, from the same direction: a reading by feel."""
        held = self.recorder.reading
        if held is None or held.wind.knowledge is not WindKnowledge.READ:
            raise InputError("there is no wind to compare with", "wind", "read it: wind 14mph 1h")
        wind = _changed(held.wind, STRONGER if more else WEAKER, self.recorder.profile.units.speed)
        reading = self.recorder.read_wind(wind, at)
        self._looked_at = -1
        felt = f"wind {view_wind(reading.wind, self.recorder.profile.units).speed}, by feel"
        return self.view(said=self._wind_said(felt, reading))

    def rested(self) -> SessionView:
        """A rest was taken."""
        self._rested_at = len(self._store.shots(self.session_id))
        return self.view(said="on again")

    def finish(self, at: datetime) -> None:
        """End the session."""
        self._store.end_session(self.session_id, at)

    def wanted_cell(self) -> Cell | None:
        """The cell of the next ball, or of the last shot where no ball waits."""
        ball = self.recorder.waiting_ball()
        if ball is not None:
            return ball.ball.cell
        shots = self._store.shots(self.session_id)
        return shots[-1].cell if shots else None

    def view(self, said: str = "", heard: str = "") -> SessionView:
        """The session as the store holds it now."""
        self._version += 1
        recorder, profile = self.recorder, self.recorder.profile
        agenda = self._store.agenda(self.session_id)
        shots = self._store.shots(self.session_id)
        waiting = [ball for ball in agenda if ball.state is BallState.WAITING]
        wind = UNKNOWN_WIND if recorder.reading is None else recorder.reading.wind
        bearing = 0.0
        if waiting and waiting[0].ball.flag is not None:
            bearing = profile.flag(waiting[0].ball.flag).bearing_rad
        said_first = self.own_calls()
        asked = asked_for(waiting[0].ball if waiting else None, said_first, shots, self._guessed_at)
        return SessionView(
            version=self._version,
            session_id=self.session_id,
            title=planned_title(recorder.session.plan_id),
            started_at=recorder.session.started_at,
            profile=profile,
            ball=self._next(waiting, shots),
            balls=len(agenda),
            left=len(waiting),
            hit=len(shots),
            skipped=sum(ball.state is BallState.SKIPPED and ball.skip_reason != WARMED_UP for ball in agenda),
            shots=shot_rows(shots, profile, self._corrected, _in_running_test(agenda), said_first),
            wind=self._wind(wind.turned(bearing), asked),
            said=said,
            heard=heard,
            notes=self._notes,
            ask_wind=self._is_time_to_look() and (bool(waiting) or not agenda) and asked.word in ("", SAY),
            asks=asked.word,
            rest_due=len(shots) - self._rested_at >= REST_EVERY and bool(waiting),
            thunder_at=max(self._store.thunder(self.session_id), default=None),
        )

    def _wind(self, against: Wind, asked: Asked) -> WindView:
        """The wind to the next flag with what it costs; not while it is to be guessed."""
        if asked.hides_wind:
            return HIDDEN_WIND
        return view_wind(against, self.recorder.profile.units, self._costs(against))

    def _is_time_to_look(self) -> bool:
        since = self.recorder.shots_in_this_wind
        return since > 0 and since % WIND_CHECK_EVERY == 0 and since != self._looked_at

    def _next(self, waiting: list[AgendaBallRecord], shots: tuple[ShotRecord, ...]) -> BallView | None:
        if not waiting:
            return None
        ball = waiting[0].ball
        alike = 0
        for each in waiting:
            if each.ball.stage != ball.stage or each.ball.cell != ball.cell:
                break
            alike += 1
        before = shots[-1].cell if shots else None
        return ball_view(ball, before, self.recorder.profile, alike)


def _in_running_test(agenda: Sequence[AgendaBallRecord]) -> frozenset[int]:
    """Numbers of the balls hit in a test of which balls still wait: nobody looks at their results yet."""
    first = next((ball for ball in agenda if ball.state is BallState.WAITING), None)
    if first is None or first.ball.stage != Stage.TEST:
        return frozenset()
    numbers = []
    for ball in reversed([ball for ball in agenda if ball.number < first.number and ball.state is BallState.HIT]):
        if ball.ball.stage != Stage.TEST:
            break
        numbers.append(ball.number)
    return frozenset(numbers)


def _says_nothing(entry: object) -> bool:
    fields = ("carry_m", "total_m", "side_m", "depth", "width", "apex_m", "hang_s", "ball_speed_mps")
    return all(getattr(entry, name) is None for name in fields) and not getattr(entry, "unseen", False)


def _finish(waiting: list[AgendaBallRecord]) -> list[AgendaBallRecord]:
    """Five of the balls that wait: the plan's own test first, then the last ones, each shot once before any twice."""
    tests = [ball for ball in waiting if ball.ball.stage == Stage.TEST]
    others = [ball for ball in reversed(waiting) if ball not in tests]
    first_of_cell = [ball for i, ball in enumerate(others) if ball.ball.cell not in {o.ball.cell for o in others[:i]}]
    rest = [ball for ball in others if ball not in first_of_cell]
    chosen = [*tests, *first_of_cell, *rest][:FINISH_BALLS]
    return sorted(chosen, key=lambda ball: ball.number)


def _changed(wind: Wind, factor: float, unit: str) -> Wind:
    """`wind` a step stronger or weaker, to a number that a person would say, read by feel at 2 m."""
    step = 0.5 if unit == "m/s" else 1.0
    speed = max(round(from_si(wind.speed_mps * factor, unit) / step) * step, step)
    speed_mps = to_si(speed, unit)
    gust_mps = wind.gust_mps if wind.gust_mps is not None and wind.gust_mps > speed_mps else None
    return Wind(WindKnowledge.READ, speed_mps, wind.from_rad, wind.height_m, ReadingMethod.FELT, wind.place, gust_mps)
