"""A plan made or changed in a form: opened, looked at as it is typed, saved as an own one. Shipped ones stay."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from trainer.application.conditions.stated import StatedConditions
from trainer.application.evidence.history import History
from trainer.application.planning.agenda import problems_for_player
from trainer.application.planning.plan_draft import block_fields, draft_of, plan_fields, raw_of
from trainer.application.views.plan_form import FieldProblem, PlanDraft, PlanForm, PlanFormView
from trainer.application.views.practice import harmless
from trainer.core.conditions import CALM_WIND
from trainer.core.errors import InputError
from trainer.core.key_lines import key_lines, line_of
from trainer.core.schedule.drills import DRILLS
from trainer.exchange.private_file import write_private
from trainer.plan.collection import PlanFile, filled_in, read_library
from trainer.plan.model import Plan
from trainer.plan.reading import PlanErrors, read_plan
from trainer.plan.skeleton import new_plan_text
from trainer.plan.writing import draft_to_toml

NAME = "plan"
_ERROR = re.compile(r".*?:(\d+): ([^:]+): (.*)")
_IN_BLOCK = re.compile(r"block\[(\d+)\](?:\.(\w+))?.*")
NO_PLAYER = "Not held against anybody's estimates: no one player is chosen."


def open_form(plan_id: str | None, plan_folders: Sequence[Path]) -> PlanForm:
    """The form of a plan, or of a new one. Raises InputError where there is no such plan."""
    library = read_library(plan_folders)
    fields = plan_fields(sorted(library.plans)), block_fields()
    drills = {name: kind.purpose for name, kind in DRILLS.items()}
    if plan_id is None:
        taken = {file.plan.id for file in library.files if file.plan is not None}
        number = next(n for n in range(1, len(taken) + 2) if _numbered(n) not in taken)
        draft = draft_of(read_plan(new_plan_text(_numbered(number)), NAME), "", shipped=False)
        return PlanForm(*fields, draft, drills, f"A new plan; it is saved in {_own(plan_folders)}")
    file = _file_of(plan_id, library.files)
    assert file.plan is not None
    draft = draft_of(file.plan, str(file.path), shipped=file.shipped)
    said = (
        "A shipped plan: saving makes your own copy, which goes before it"
        if file.shipped
        else "Your own plan: saving keeps the file as it was beside it"
    )
    return PlanForm(*fields, draft, drills, said)


def _numbered(number: int) -> str:
    return "my-plan" if number == 1 else f"my-plan-{number}"


def _file_of(plan_id: str, files: Sequence[PlanFile]) -> PlanFile:
    """The file that a plan's id means: an own one before a shipped one."""
    held = [file for file in files if file.plan is not None and file.plan.id == plan_id]
    if not held:
        raise InputError(f"there is no plan '{plan_id}'", "plan", "pick one of the list")
    return min(held, key=lambda file: file.shipped)


def _own(plan_folders: Sequence[Path]) -> Path:
    if not plan_folders:
        raise InputError("there is no folder for own plans", "plans", "name a store")
    return plan_folders[0]


def look_at(draft: PlanDraft, history: History | None, now: datetime, plan_folders: Sequence[Path]) -> PlanFormView:
    """The draft's TOML, what is wrong with it, and, where nothing is, how it suits the player."""
    raw, said = raw_of(draft)
    toml = draft_to_toml(raw)
    lines = key_lines(toml)
    places: dict[tuple[int | None, str], int] = {}
    for key in draft.plan:
        places[None, key] = line_of((key,), lines) - 1
    for number, block in enumerate(draft.blocks):
        for key in block:
            places[number, key] = line_of(("block", number, key), lines) - 1
    try:
        plan = filled_in(read_plan(toml, NAME), Path(draft.source or NAME), plan_folders)
    except PlanErrors as errors:
        told = {(each.block, each.key) for each in said}
        found = [_problem(line) for line in errors.lines]
        problems = (*said, *(each for each in found if (each.block, each.key) not in told))
        return PlanFormView(harmless(toml, keep_lines=True), places, problems, ())
    if said:
        return PlanFormView(harmless(toml, keep_lines=True), places, said, ())
    own, suits = _for_player(plan, history, now)
    return PlanFormView(harmless(toml, keep_lines=True), places, (), own, suits)


def _problem(line: str) -> FieldProblem:
    """One error of a plan file, at its field."""
    match = _ERROR.fullmatch(line)
    if match is None:
        return FieldProblem(None, "", harmless(line))
    path, words = match[2], harmless(match[3])
    block = _IN_BLOCK.fullmatch(path)
    if block is not None:
        return FieldProblem(int(block[1]) - 1, block[2] or "drill", words)
    return FieldProblem(None, path.partition(".")[0].partition("[")[0], words)


def _for_player(plan: Plan, history: History | None, now: datetime) -> tuple[tuple[str, ...], bool]:
    """How a plan suits a player by his own estimates, in still air."""
    if history is None:
        return (NO_PLAYER,), True
    try:
        found = problems_for_player(plan, history, StatedConditions(wind=CALM_WIND), now)
    except InputError as problem:
        # A club that he does not have, a flag that he never set up: the plan is not for him as it stands.
        return (harmless(str(problem)),), False
    if found:
        return tuple(harmless(each) for each in found), False
    return ("By your own estimates every ball of it can be played.",), True


def save(draft: PlanDraft, plan_folders: Sequence[Path]) -> tuple[Path, PlanDraft]:
    """Write the plan into the own plans' folder; gives where it lies, and the draft as opened from there.

    A file that it replaces is kept beside it under a name that is no plan's. Raises InputError for a plan that cannot
    be used, and for the id of another own plan.
    """
    raw, said = raw_of(draft)
    if said:
        raise InputError(said[0].words, said[0].key, "then save again")
    toml = draft_to_toml(raw)
    folder = _own(plan_folders)
    plan = read_plan(toml, NAME)
    filled_in(plan, Path(draft.source or NAME), plan_folders)
    own = None if draft.shipped or not draft.source else Path(draft.source)
    target = own if own is not None and own.stem == plan.id else folder / f"{plan.id}.toml"
    held = [file for file in read_library(plan_folders).files if not file.shipped]
    if any(file.path != own and file.plan is not None and file.plan.id == plan.id for file in held):
        raise InputError(f"you have another plan '{plan.id}'", "id", "give this one another id")
    if target != own and target.exists():
        raise InputError("a file of this name is there", str(target), "give the plan another id")
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    if target == own:
        fresh = target.with_name(f"{target.name}.new")
        fresh.unlink(missing_ok=True)
        write_private(fresh, toml)
        target.rename(_free_beside(target))
        fresh.rename(target)
    else:
        write_private(target, toml)
    return target, PlanDraft(draft.plan, draft.blocks, draft.kept, str(target))


def _free_beside(path: Path) -> Path:
    number = 1
    while (beside := path.with_name(f"{path.name}.before-{number}")).exists():
        number += 1
    return beside
