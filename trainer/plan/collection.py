"""The shipped plans and a player's own, found by id, each with what it extends filled in.

A broken file never hides the good ones: its errors stand beside them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from pydantic import ValidationError

import trainer
from trainer.core.errors import InputError
from trainer.core.key_lines import key_lines, line_of
from trainer.core.schedule.budget import share
from trainer.plan.model import Plan
from trainer.plan.reading import PlanErrors, error_line, plan_text, read_plan

_FROM_PARENT = ("wind", "for", "ages", "note", "block", "levels")
_VARIED = ("balls", "minutes", "wind", "note")


@dataclass(frozen=True, slots=True)
class PlanFile:
    """One file of a folder: its plan as written (None where it is broken) or its errors."""

    path: Path
    shipped: bool
    plan: Plan | None
    errors: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Library:
    """The plans by id, extended ones filled in, and the errors of the files that are broken."""

    plans: dict[str, Plan]
    files: tuple[PlanFile, ...]
    errors: tuple[str, ...]


def shipped_folder() -> Path:
    """The folder of the shipped plans: inside the installed package, or beside it in a checkout."""
    package = Path(trainer.__file__).resolve().parent
    for folder in (package / "shipped_plans", package.parent / "plans"):
        if folder.is_dir():
            return folder
    raise InputError("the shipped plans are missing", str(package), "install the trainer again")


def read_library(extra_folders: Sequence[Path] = ()) -> Library:
    """Read the shipped plans and those in `extra_folders`. An own plan goes before a shipped one of the same id."""
    files = _files_in(shipped_folder(), shipped=True)
    for folder in extra_folders:
        files += _files_in(folder, shipped=False)
    errors = [line for file in files for line in file.errors]
    sources: dict[str, PlanFile] = {}
    for file in files:
        if file.plan is None:
            continue
        before = sources.get(file.plan.id)
        if before is not None and before.shipped == file.shipped:
            errors.append(_at(file, "id", f"{before.path} has this id too, give one of them another"))
            continue
        sources[file.plan.id] = file
    plans = {}
    for plan_id, file in sources.items():
        try:
            plans[plan_id] = _filled_in(file, sources)
        except PlanErrors as error:
            errors += error.lines
    return Library(plans, files, tuple(errors))


def shipped_plans() -> tuple[Plan, ...]:
    """Every shipped plan, by id."""
    plans = read_library().plans
    return tuple(plans[plan_id] for plan_id in sorted(plans))


def find_plan(plan_id: str, extra_folders: Sequence[Path] = ()) -> Plan:
    """The plan of that id, filled in; raises its PlanErrors where it is broken, InputError where there is none."""
    library = read_library(extra_folders)
    if plan_id in library.plans:
        return library.plans[plan_id]
    meant = {
        file.path for file in library.files if plan_id == (file.path.stem if file.plan is None else file.plan.id)
    }
    errors = tuple(line for line in library.errors if line.startswith(tuple(f"{path}:" for path in meant)))
    if errors:
        raise PlanErrors(errors)
    raise InputError(f"there is no plan '{plan_id}'", "plan", f"use one of {', '.join(sorted(library.plans))}")


def check_file(path: str | Path, extra_folders: Sequence[Path] = ()) -> tuple[str, ...]:
    """Every error of the plan file at `path`, one line each; none where it can be used.

    A plan that it extends is looked for beside it, in `extra_folders` and among the shipped ones.
    """
    file = _file(Path(path), shipped=False)
    if file.plan is None:
        return file.errors
    folders = [Path(path).resolve().parent, *extra_folders]
    others = [file for folder in (shipped_folder(), *folders) for file in _files_in(folder, shipped=False)]
    sources = {other.plan.id: other for other in others if other.plan is not None}
    try:
        _filled_in(file, sources | {file.plan.id: file})
    except PlanErrors as error:
        return error.lines
    return ()


def filled_in(plan: Plan, path: Path, extra_folders: Sequence[Path] = ()) -> Plan:
    """A plan that is not saved yet, or not in any folder, with what it extends filled in; raises PlanErrors.

    `path` is the file it is to be, so that it does not stand in its own way.
    """
    file = PlanFile(path, False, plan)
    others = [*_files_in(shipped_folder(), shipped=True)]
    for folder in extra_folders:
        others += _files_in(folder, shipped=False)
    sources = {other.plan.id: other for other in others if other.plan is not None and other.path != path}
    return _filled_in(file, sources | {plan.id: file})


def plan_for(plan: Plan, level: str) -> Plan:
    """`plan` as `level` plays it: that level's variant if there is one, the blocks in proportion to its balls."""
    variant = plan.levels.of(level) if plan.levels else None
    if variant is None:
        return plan
    changes = {key: value for key, value in variant.said().items() if key in _VARIED}
    said = {key: value for key, value in plan.said().items() if key != "levels"}
    varied = said | changes | {"level": level}
    in_blocks = sum(block.balls for block in plan.block)
    wanted = max(round(in_blocks * varied["balls"] / plan.balls), len(plan.block))
    return Plan.model_validate(varied | {"block": with_balls(said.get("block", ()), wanted)})


def _files_in(folder: Path, *, shipped: bool) -> tuple[PlanFile, ...]:
    try:
        paths = sorted(path for path in folder.iterdir() if path.suffix == ".toml")
    except FileNotFoundError:
        return ()
    except OSError as error:
        why = error.strerror or "it cannot be read"
        return (
            PlanFile(folder, shipped, None, (error_line(str(folder), 1, "folder", why, "check its permissions"),)),
        )
    return tuple(_file(path, shipped=shipped) for path in paths)


def _file(path: Path, *, shipped: bool) -> PlanFile:
    try:
        return PlanFile(path, shipped, _read(plan_text(path), str(path)))
    except PlanErrors as error:
        return PlanFile(path, shipped, None, error.lines)


@lru_cache(maxsize=128)
def _read(text: str, name: str) -> Plan:
    """Kept: a library is read at every look at it, and its files seldom change."""
    return read_plan(text, name)


def _filled_in(file: PlanFile, sources: dict[str, PlanFile]) -> Plan:
    """The file's plan with what it does not say taken from what it extends; raises PlanErrors."""
    chain = _chain(file, sources)
    said = chain[-1].said()
    for plan in reversed(chain[:-1]):
        inherited = {key: said[key] for key in _FROM_PARENT if key in said}
        said = inherited | plan.said()
    try:
        return _built(said)
    except ValidationError as error:
        what = error.errors()[0]["msg"].removeprefix("Value error, ")
        raise PlanErrors((_at(file, "extends", what),)) from error


def _chain(file: PlanFile, sources: dict[str, PlanFile]) -> list[Plan]:
    """The plan, what it extends, what that extends, and so on."""
    chain: list[Plan] = []
    plan = file.plan
    while plan is not None:
        chain.append(plan)
        if plan.extends is None:
            break
        if plan.extends in {one.id for one in chain}:
            what = f"{' extends '.join([*(one.id for one in chain), plan.extends])}: a circle, take one extends out"
            raise PlanErrors((_at(file, "extends", what),))
        parent = sources.get(plan.extends)
        if parent is None:
            what = f"there is no plan '{plan.extends}' that can be used, name one that trainer plan list shows"
            raise PlanErrors((_at(file, "extends", what),))
        plan = parent.plan
    return chain


def _built(said: dict[str, Any]) -> Plan:
    """A plan from what is said; blocks that hold more than its balls are shrunk alike."""
    blocks = said.get("block", ())
    if blocks and sum(block["balls"] for block in blocks) > said["balls"] >= len(blocks):
        blocks = with_balls(blocks, said["balls"])
    return Plan.model_validate(said | {"block": blocks})


def with_balls(blocks: Sequence[dict[str, Any]], balls: int) -> tuple[dict[str, Any], ...]:
    """`blocks` with `balls` in all, shared as they were. Raises ValueError for fewer balls than blocks."""
    counts = share(tuple(block["balls"] for block in blocks), balls)
    return tuple(block | {"balls": count} for block, count in zip(blocks, counts, strict=True))


def _at(file: PlanFile, key: str, what: str) -> str:
    """An error of a plan that can be read but not used."""
    try:
        lines = key_lines(plan_text(file.path))
    except PlanErrors:
        lines = {(): 1}
    return error_line(str(file.path), line_of((key,), lines), key, what)
