"""The player's side of a squad: an assigned plan taken up, and sessions handed in as result files."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from trainer.application.squad.result_tables import results_of
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand
from trainer.exchange.assignment_file import PLAN_NAME, RECORD_NAME, read_assignment
from trainer.exchange.private_file import write_private
from trainer.exchange.result_file import LARGEST_BYTES, SUFFIX, read_result, write_result
from trainer.exchange.result_model import ResultTable
from trainer.plan.reading import plan_text, read_plan
from trainer.store.database import make_folder
from trainer.store.records import SessionKind, SessionRecord
from trainer.store.squad_records import TakenAssignment
from trainer.store.store import Store

MOST_NAMES = 1000


def take_up(store: Store, alias: str | None, folder: Path, at: datetime, plans_folder: Path) -> TakenAssignment:
    """Take up the assignment in `folder`: its plan joins the player's own plans, and is found by its id.

    Taking it up twice changes nothing. Raises InputError for what is no assignment, and for a plan that was changed.
    """
    player = store.player(alias)
    place = folder.parent if folder.name == RECORD_NAME else folder
    record_path, plan_path = place / RECORD_NAME, place / PLAN_NAME
    text = plan_text(plan_path)
    assignment = read_assignment(plan_text(record_path), text, str(record_path))
    plan = read_plan(text, str(plan_path))
    if plan.id != assignment.plan:
        raise InputError(f"the plan beside it is '{plan.id}'", str(record_path), "ask the coach for both again")
    target = plans_folder / f"{plan.id}.toml"
    if not target.exists():
        make_folder(plans_folder)
        write_private(target, text)
    elif plan_text(target) != text:
        raise InputError("a plan of this id stands here and is another", str(target), "give that one another id")
    taken = TakenAssignment(
        uid=assignment.id,
        player_id=player.id,
        alias=assignment.alias,
        age_band=assignment.age_band,
        plan_id=plan.id,
        title=plan.title,
        assigned_at=assignment.assigned_at,
        due=assignment.due,
        taken_at=at,
    )
    store.squad.take(taken)
    return taken


@dataclass(frozen=True, slots=True)
class HandedIn:
    """One session as result files to be written, under names that tell its day and id, not the player."""

    session_id: int
    results: tuple[ResultTable, ...]
    stem: str


def hand_in(
    store: Store,
    alias: str | None,
    at: datetime,
    *,
    session_id: int | None = None,
    known_as: str | None = None,
    with_note: bool = False,
) -> tuple[HandedIn, ...]:
    """The player's range sessions, or one of them, as result files without a name.

    He goes by `known_as`, else by the alias of the assignment he took up last, never by his own, which may be his
    name. Raises InputError without either, for a session that is not his, and where none holds a shot.
    """
    player = store.player(alias)
    taken = store.squad.taken(player.id)
    band = taken[-1].age_band if taken else player.profile.age_band
    name = known_as or (taken[-1].alias if taken else None)
    if name is None:
        raise InputError("under which alias?", "squad submit", "give --as ALIAS, the one your coach gave you")
    chosen = _sessions(store, player.id, session_id)
    if not chosen:
        raise InputError("there is nothing to hand in: no session with a shot", "squad submit", "record one first")
    return tuple(_handed_in(store, session, name, band, at, with_note=with_note) for session in chosen)


def hand_on(store: Store, at: datetime) -> tuple[HandedIn, ...]:
    """All that a coach's store holds of its squad, as result files for another coach of the same squad."""
    found = []
    for member in store.squad.members():
        if member.player_id is None:
            continue
        moments = store.squad.handed_in(member.player_id)
        for session in _sessions(store, member.player_id, None):
            moment = moments.get(session.id, at)
            found.append(_handed_in(store, session, member.alias, member.age_band, moment, with_note=True))
    return tuple(found)


def _sessions(store: Store, player_id: int, session_id: int | None) -> tuple[SessionRecord, ...]:
    held = [each for each in store.sessions(player_id) if each.kind is SessionKind.RANGE]
    if session_id is not None and session_id not in {session.id for session in held}:
        known = ", ".join(str(session.id) for session in held) or "none"
        raise InputError(f"no session {session_id} is the player's", "--session", f"known: {known}")
    hit = {shot.session_id for shot in store.shots(player_id=player_id, include_undone=True)}
    return tuple(each for each in held if each.id in hit and session_id in (None, each.id))


def _handed_in(
    store: Store, session: SessionRecord, name: str, band: AgeBand | None, at: datetime, *, with_note: bool
) -> HandedIn:
    shared = store.squad.shared_session(session.id)
    player = store.squad.shared_player(session.player_id, at)
    results = results_of(player, shared, name, band, at, with_note=with_note)
    return HandedIn(session.id, results, f"{session.started_at:%Y-%m-%d}-{session.uid[:8]}")


def write_handed_in(folder: Path, handed_in: HandedIn) -> tuple[str, ...]:
    """Write a session's files into `folder`; the names of those that hold it.

    Nothing is overwritten: where a file of that name holds the same session as it stands, it is left; where it holds
    less or other, the new one gets the next name.
    """
    make_folder(folder)
    names = []
    for number, result in enumerate(handed_in.results, start=1):
        part = f"-part{number}" if len(handed_in.results) > 1 else ""
        names.append(_write(folder, f"{handed_in.stem}{part}", result))
    return tuple(names)


def _write(folder: Path, stem: str, result: ResultTable) -> str:
    for number in range(1, MOST_NAMES):
        path = folder / f"{stem}{'' if number == 1 else f'-{number}'}{SUFFIX}"
        if not path.exists():
            write_private(path, write_result(result))
            return path.name
        if _holds(path, result):
            return path.name
    raise InputError(f"more than {MOST_NAMES} files of this session", str(folder / stem), "name an empty folder")


def _holds(path: Path, result: ResultTable) -> bool:
    """Whether the file says the same; when it was handed in, and as of when the profile is, may differ."""
    try:
        with path.open("rb") as file:
            held = read_result(file.read(LARGEST_BYTES + 1), path.name)
    except (InputError, OSError):
        return False
    same_time = {
        "handed_in_at": result.handed_in_at,
        "player": held.player.model_copy(update={"as_of": result.player.as_of}),
    }
    return held.model_copy(update=same_time) == result
