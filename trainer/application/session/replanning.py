"""The rest of a running session planned anew: when it is due, the sums, and keeping it whole.

What is due is read from the store alone, so that a session gone on with after a fall is planned as one that never
fell, and screens and typed lines come to the same balls. The sums need no store and are safe in any thread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from trainer.application.conditions.stated import StatedConditions
from trainer.application.evidence.history import History, read_history
from trainer.application.planning.agenda import Unhit, new_balls, replan_session
from trainer.application.planning.agenda_basis import Basis, basis_text, chosen_among, read_basis
from trainer.application.session.recording import WARMED_UP, Recorder
from trainer.core.bag import Swing
from trainer.core.conditions import UNKNOWN_WIND, Conditions, Wind
from trainer.core.schedule.agenda import Agenda, AgendaBall
from trainer.core.schedule.fitting import Done
from trainer.core.schedule.prompts import is_no_session, prompts_of
from trainer.core.schedule.replan import NOTHING_CHANGES, Replanned
from trainer.core.schedule.stages import Stage
from trainer.core.schedule.telling import LOOK_AGAIN_SHOTS
from trainer.store.records import AgendaBallRecord, BallState, NewBall
from trainer.store.store import Store

THE_PLAN_STANDS = ("this wind changes none of the balls to come",)
MOST_SAID = 2


@dataclass(frozen=True, slots=True, eq=False)
class RestWish:
    """What the sums need to plan the rest of a session anew, at `as_of` in `wind`."""

    session_id: int
    seed: int
    history: History
    agenda: tuple[AgendaBallRecord, ...]
    basis: Basis
    wind: Wind
    stated: StatedConditions
    as_of: datetime


@dataclass(frozen=True, slots=True, eq=False)
class NewRest:
    """The balls to put in place of those that `waited`, with their basis, and what changed, in sentences."""

    session_id: int
    waited: tuple[NewBall, ...]
    balls: tuple[NewBall, ...]
    basis: Basis
    changes: tuple[str, ...]


def rest_wish(store: Store, recorder: Recorder, at: datetime) -> RestWish | None:
    """What is to be planned anew: None where the wind and the balls' number are as they were planned for."""
    session = recorder.session
    text = store.agenda_basis(session.id)
    basis = None if text is None else read_basis(text)
    if basis is None or session.seed is None:
        return None
    agenda = store.agenda(session.id)
    wind = UNKNOWN_WIND if recorder.reading is None else recorder.reading.wind
    if not _is_due(basis, _waiting(agenda), wind, len(store.shots(session.id))):
        return None
    return RestWish(
        session_id=session.id,
        seed=session.seed,
        history=replace(read_history(store, recorder.profile.alias, at), running=session.id),
        agenda=agenda,
        basis=basis,
        wind=wind,
        # Wind and air are the session's own; what else was stated of it holds.
        stated=replace(recorder.stated, wind=None),
        as_of=at,
    )


def _is_due(basis: Basis, waiting: Sequence[NewBall], wind: Wind, shots: int) -> bool:
    """Another wind; shots that nobody knew of, where a block ended or chooses; a ball of the player's own choice."""
    if not waiting:
        return False
    chosen = not set(chosen_among(waiting)) <= set(basis.chosen)
    return chosen or wind != basis.wind or _balls_taught(basis, waiting, shots)


def _balls_taught(basis: Basis, waiting: Sequence[NewBall], shots: int) -> bool:
    blocks = {ball.block for ball in waiting}
    one_ended = shots != basis.shots and any(block not in blocks for block in basis.open_blocks)
    here = waiting[0].block
    chooses = here >= 0 and basis.blocks[here].kind.by_gain
    return one_ended or (chooses and shots >= basis.shots + LOOK_AGAIN_SHOTS)


def plan_rest(wish: RestWish) -> NewRest:
    """The rest planned anew. Where nothing changes the balls stay as they were; the player's own get their target."""
    waited = _waiting(wish.agenda)
    if is_no_session(wish.wind):
        return _stopped(wish, waited)
    unhit = _unhit(wish, waited)
    again = replan_session(unhit, wish.history, wish.stated, wish.as_of)
    fresh = _numbered_as(again, unhit, waited)
    same_wind = wish.wind == wish.basis.wind
    only_chosen = same_wind and not _balls_taught(wish.basis, waited, _shots(wish))
    changes: tuple[str, ...]
    if only_chosen or again.changes == NOTHING_CHANGES:
        own = {ball.number: ball for ball in fresh if ball.override}
        balls = tuple(own.get(ball.number, ball) for ball in waited)
        changes = () if same_wind else THE_PLAN_STANDS
        kept = wish.basis
    else:
        balls, changes = fresh, again.changes
        kept = replace(wish.basis, swaps=again.agenda.swaps, notes=again.agenda.notes)
    basis = replace(
        kept,
        wind=wish.wind,
        shots=_shots(wish),
        open_blocks=tuple(sorted({ball.block for ball in balls if ball.block >= 0})),
        chosen=chosen_among(balls),
    )
    return NewRest(wish.session_id, waited, balls, basis, changes)


def _stopped(wish: RestWish, waited: tuple[NewBall, ...]) -> NewRest:
    """In such a wind nobody plays: nothing is worked out, the balls wait, and it is said why."""
    prompts = prompts_of(Conditions(wish.wind), (), wish.history.profile.units, junior=wish.basis.age_band.is_junior)
    basis = replace(wish.basis, wind=wish.wind, chosen=chosen_among(waited))
    return NewRest(wish.session_id, waited, waited, basis, prompts)


def keep_rest(store: Store, rest: NewRest) -> bool:
    """Put the new rest in place of the old, in one transaction; False where other balls wait by now."""
    now = _waiting(store.agenda(rest.session_id))
    if [_uncalled(ball) for ball in now] != [_uncalled(ball) for ball in rest.waited]:
        return False
    store.put_agenda(rest.session_id, rest.balls, basis_text(rest.basis))
    return True


def plan_anew(store: Store, recorder: Recorder, at: datetime) -> tuple[str, ...]:
    """Plan the rest anew here and now if that is due, and say what changed."""
    wish = rest_wish(store, recorder, at)
    if wish is None:
        return ()
    rest = plan_rest(wish)
    keep_rest(store, rest)
    return rest.changes


def changes_in_short(changes: Sequence[str]) -> str:
    """The first two of what changed, a line each, and how much more there is; empty where nothing did."""
    more = len(changes) - MOST_SAID
    said = "\n".join(changes[:MOST_SAID])
    return f"{said}; and {more} more" if more > 0 else said


def _waiting(agenda: Sequence[AgendaBallRecord]) -> tuple[NewBall, ...]:
    return tuple(record.ball for record in agenda if record.state is BallState.WAITING)


def _uncalled(ball: NewBall) -> NewBall:
    return replace(ball, called_50_m=None, called_80_m=None)


def _shots(wish: RestWish) -> int:
    return sum(shot.session_id == wish.session_id for shot in wish.history.shots)


def _unhit(wish: RestWish, waited: Sequence[NewBall]) -> Unhit:
    """The balls that wait, numbered without a gap: one that was taken back leaves the later ones as they are."""
    hit = waited[0].number - 1
    balls = tuple(
        AgendaBall(
            number=number,
            drill=ball.drill,
            cell=ball.cell,
            target_m=ball.target_m,
            stage=Stage(ball.stage),
            cue=ball.cue,
            reason=ball.reason,
            flag=ball.flag,
            block=ball.block,
            override=ball.override,
        )
        for number, ball in enumerate(waited, hit + 1)
    )
    basis = wish.basis
    agenda = Agenda(balls, basis.swaps, basis.notes, basis.blocks)
    return Unhit(agenda, hit, wish.seed, basis.age_band, _done(wish))


def _done(wish: RestWish) -> Done:
    done = [record for record in wish.agenda if record.state is not BallState.WAITING]
    mixed = [each for each in done if each.state is BallState.HIT and each.ball.stage in {Stage.MIX, Stage.TEST}]
    loosened = [each.ball.cell for each in done if each.skip_reason == WARMED_UP]
    hit = [shot.cell for shot in wish.history.shots if shot.session_id == wish.session_id]
    low = sum(cell.swing is not Swing.FULL for cell in [*loosened, *hit])
    return Done(sum(each.ball.block >= 0 for each in done), len(mixed), low)


def _numbered_as(again: Replanned, unhit: Unhit, waited: Sequence[NewBall]) -> tuple[NewBall, ...]:
    """The new balls with the numbers of those that waited, and their blocks' places among all of the session's."""
    places = sorted({ball.block for ball in waited if ball.block >= 0})
    return tuple(
        replace(
            ball,
            number=waited[ball.number - unhit.hit - 1].number,
            block=places[ball.block] if ball.block >= 0 else -1,
        )
        for ball in new_balls(again.agenda)
    )
