"""A coach's squad by file: members, plans out, results in. Nothing here needs a server, and nothing knows a name."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from pathlib import Path

from pydantic import ValidationError

from trainer.application.evidence.history import local
from trainer.application.squad.result_tables import one_line, shared_of
from trainer.application.views.practice import harmless
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand
from trainer.exchange.assignment_file import (
    PLAN_NAME,
    RECORD_NAME,
    Assignment,
    text_hash,
    write_assignment,
)
from trainer.exchange.plain_text import shown_text
from trainer.exchange.private_file import write_folder
from trainer.exchange.result_file import LARGEST_BYTES, SUFFIX, read_result
from trainer.plan.assigned import assigned_plan
from trainer.plan.collection import find_plan
from trainer.plan.model import Plan
from trainer.plan.writing import plan_to_toml
from trainer.store.database import make_folder
from trainer.store.squad_records import (
    AssignmentRecord,
    Decision,
    Member,
    Merged,
    NewAssignment,
    NewMember,
    TakenAssignment,
)
from trainer.store.store import Store

KEPT_FOR = timedelta(days=365)
"""How long a member's data is kept where nothing else is said (our choice, no source)."""

MOST_FILES = 10_000
LONGEST_NOTE = 2000
NOTHING_MERGED = Merged()
_ALIAS = re.compile(r"[^\W_](?:[\w .'-]{0,38}[\w.])?")

KEY_FILE_WORDS = (
    "The trainer knows an alias and an age band, no names and no birth dates. Keep the list of which alias is which "
    "child on paper or in a file of your own, outside this program and away from its folder."
)


class State(StrEnum):
    """How far an assignment came."""

    ASSIGNED = "assigned"
    STARTED = "started"
    SUBMITTED = "submitted"
    RETURNED = "returned"
    ACCEPTED = "accepted"


def state_of(record: AssignmentRecord | TakenAssignment) -> State:
    """The last step an assignment took. What is submitted after it was returned is submitted again."""
    decision = getattr(record, "decision", None)
    decided_at = getattr(record, "decided_at", None)
    if decision is Decision.ACCEPTED:
        return State.ACCEPTED
    handed_in = record.handed_in_at
    if decided_at is not None and (handed_in is None or local(handed_in) <= local(decided_at)):
        return State.RETURNED
    if handed_in is not None:
        return State.SUBMITTED
    return State.ASSIGNED if record.started_at is None else State.STARTED


def is_overdue(record: AssignmentRecord | TakenAssignment, today: date) -> bool:
    """Whether the player still owes it after its due date."""
    return today > record.due and state_of(record) not in (State.SUBMITTED, State.ACCEPTED)


def add_member(
    store: Store,
    alias: str,
    at: datetime,
    *,
    age_band: AgeBand | None = None,
    consent_date: date | None = None,
    withdraw_consent: bool = False,
    keep_until: date | None = None,
) -> Member:
    """Keep a member; what is not said stays as it was.

    Raises InputError for a new one without an age band, and a consent of a day to come.
    """
    if consent_date is not None and consent_date > at.date():
        raise InputError(f"{consent_date} is still to come", "consent", "give the day it was given")
    alias = " ".join(alias.split())
    held = next((each for each in store.squad.members() if each.alias.lower() == alias.lower()), None)
    if held is None and _ALIAS.fullmatch(alias) is None:
        raise InputError(f"'{alias}' is not an alias", "squad", "use up to 40 letters, digits, blanks and . ' -")
    band = age_band or (None if held is None else held.age_band)
    if band is None:
        raise InputError("the age band is missing", alias, f"give --age-band: {', '.join(AgeBand)}")
    before = None if held is None or withdraw_consent else held.consent_date
    kept = at.date() + KEPT_FOR if held is None else held.keep_until
    new = NewMember(alias if held is None else held.alias, band, consent_date or before, keep_until or kept)
    return store.squad.save_member(new, at)


def read_day(text: str, where: str) -> date:
    """A day written as 2026-05-14. Raises InputError."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InputError(f"'{shown_text(text)}' is not a day", where, "write it as 2026-05-14") from None


def aliases_meant(store: Store, to: str) -> tuple[str, ...]:
    """The aliases that `kestrel, heron` or `all` means. Raises InputError where that is nobody."""
    if to.strip().lower() == "all":
        aliases = tuple(member.alias for member in store.squad.members())
        if not aliases:
            raise InputError("the squad is empty", "to", "add members with `trainer squad add`")
        return aliases
    aliases = tuple(alias.strip() for alias in to.split(",") if alias.strip())
    if not aliases:
        raise InputError("to whom?", "to", "give aliases, parted by commas, or all")
    return aliases


def keep_note(store: Store, alias: str, typed: str, at: datetime) -> tuple[Member, str]:
    """Keep the coach's words on a member, on one line; they stay in this store. Raises InputError."""
    text = " ".join(harmless(typed).split())
    if not text or len(text) > LONGEST_NOTE:
        raise InputError("this is no note", "note", f"write 1 to {LONGEST_NOTE} characters")
    member = store.squad.member(alias)
    store.squad.add_note(member.id, text, at)
    return member, text


@dataclass(frozen=True, slots=True)
class Assigned:
    """One assignment, ready to be written: its folder's name and the texts in it. `said` is what was changed."""

    member: Member
    plan: Plan
    due: date
    folder: str
    files: Mapping[str, str]
    said: tuple[str, ...]
    record: NewAssignment


def assign(
    store: Store, plan_id: str, aliases: Sequence[str], due: date, at: datetime, plan_folders: Sequence[Path] = ()
) -> tuple[Assigned, ...]:
    """A plan for each of `aliases`; nothing is kept before `write_assigned`.

    Raises InputError for a plan or a member that is not there, a junior without consent, and a date gone by.
    """
    if due < at.date():
        raise InputError(f"{due} is past", "--due", "give a day from today on")
    plan = find_plan(plan_id, plan_folders)
    members = [store.squad.member(alias) for alias in dict.fromkeys(each.strip() for each in aliases)]
    for member in members:
        require_consent(member)
    return tuple(_assigned(plan, member, due, at, store.squad.new_uid()) for member in members)


def require_consent(member: Member) -> None:
    """Raise InputError for a junior whose consent is not kept."""
    if not member.may_be_kept:
        raise InputError(
            f"no consent is kept for '{member.alias}' ({member.age_band})",
            "squad",
            f"once you hold it: trainer squad add {member.alias} --consent DATE",
        )


def _assigned(plan: Plan, member: Member, due: date, at: datetime, uid: str) -> Assigned:
    try:
        own = assigned_plan(plan, uid[:8], due, member.age_band)
    except ValidationError as error:
        what = error.errors()[0]["msg"].removeprefix("Value error, ")
        raise InputError(f"plan {plan.id} does not suit '{member.alias}': {what}", "squad", "pick another") from None
    text = plan_to_toml(own)
    record = Assignment(uid, member.alias, member.age_band, own.id, one_line(own.title), at, due, text_hash(text))
    said = (
        (f"{own.balls} balls instead of {plan.balls}, for ages {member.age_band}",) if own.balls < plan.balls else ()
    )
    return Assigned(
        member=member,
        plan=own,
        due=due,
        folder=f"{_file_word(member.alias)}-{uid[:8]}",
        files={PLAN_NAME: text, RECORD_NAME: write_assignment(record)},
        said=said,
        record=NewAssignment(uid, member.id, own.id, own.title, at, due),
    )


def _file_word(alias: str) -> str:
    """An alias as part of a file's name: ASCII letters and digits only, so that no path can hide in it."""
    return re.sub(r"[^a-z0-9]+", "-", alias.lower()).strip("-") or "player"


def write_assigned(store: Store, folder: Path, assigned: Sequence[Assigned]) -> None:
    """Write each player's folder into `folder`, then keep what was assigned."""
    make_folder(folder)
    for each in assigned:
        write_folder(folder / each.folder, each.files)
    store.squad.add_assignments([each.record for each in assigned])


@dataclass(frozen=True, slots=True)
class CollectedFile:
    """What became of one file. `why` says why nothing of it was taken, empty where it was."""

    name: str
    alias: str = ""
    session: str = ""
    merged: Merged = NOTHING_MERGED
    why: str = ""

    @property
    def is_conflict(self) -> bool:
        """Whether it holds something under an id that stands here with another content."""
        return bool(self.merged.conflicts)

    @property
    def is_new(self) -> bool:
        """Whether anything was added."""
        merged = self.merged
        return merged.new_session or merged.shots > 0 or merged.readings > 0 or merged.corrected > 0


def collect(store: Store, paths: Iterable[tuple[str, Path]], *, corrections: bool = False) -> Iterable[CollectedFile]:
    """Take result files in, one after the other: of each all or nothing, and nothing that stands is overwritten.

    `paths` are (name to tell, path). A file that cannot be taken hides none of the others. With `corrections` what a
    player put right after he last handed a session in is put right here too, the old values kept.
    """
    for name, path in paths:
        try:
            result = shared_of(read_result(_content(path, name), name))
            require_consent(store.squad.member(result.alias))
            merged = store.squad.merge(result, corrections=corrections)
        except InputError as error:
            why = str(error)
            # What is wrong with a member rather than with the file names no file by itself.
            yield CollectedFile(name, why=why if why.startswith(name) else f"{name}: {why}")
            continue
        why = "; ".join(merged.conflicts)
        yield CollectedFile(name, result.alias, result.session.uid, merged, why)


def _content(path: Path, name: str) -> bytes:
    if path.is_symlink() or not path.is_file():
        raise InputError("this is not a plain file", name, "put the file itself there")
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise InputError(error.strerror or "it cannot be read", name, "check its rights") from None


def result_paths(folder: Path) -> tuple[tuple[str, Path], ...]:
    """The result files in `folder` and the folders in it, by name. Raises InputError where there is none."""
    if not folder.is_dir():
        raise InputError("there is no such folder", str(folder), "name the folder with the result files")
    found = sorted({*folder.glob(f"*{SUFFIX}"), *folder.glob(f"*/*{SUFFIX}")})
    if not found:
        raise InputError(f"no file here ends in {SUFFIX}", str(folder), "name the folder with the result files")
    if len(found) > MOST_FILES:
        raise InputError(f"more than {MOST_FILES} result files", str(folder), "collect them folder by folder")
    return tuple((str(path.relative_to(folder)), path) for path in found)


def decide(store: Store, plan_id: str, decision: Decision, at: datetime) -> AssignmentRecord:
    """Return an assignment to the player, or accept it."""
    return store.squad.decide(plan_id, decision, at)
