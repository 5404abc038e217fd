"""The record that goes out beside an assigned plan: whom it is for, by alias, and until when.

It names no file: the plan lies beside it under a fixed name, and its hash says that it is the one that was meant.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Literal

import tomli_w
from pydantic import ConfigDict, Field

from trainer.core.errors import InputError
from trainer.core.key_lines import key_lines
from trainer.core.profile import AgeBand
from trainer.exchange.result_model import Alias, Day, Moment, PlanId, Text, Uid
from trainer.exchange.toml_text import StrictModel, place, read_toml, require_format

FORMAT = 1
RECORD_NAME, PLAN_NAME = "assignment.toml", "plan.toml"


@dataclass(frozen=True, slots=True)
class Assignment:
    """A plan given to a player. `plan_sha256` is that of the plan's text."""

    id: str
    alias: str
    age_band: AgeBand
    plan: str
    title: str
    assigned_at: datetime
    due: date
    plan_sha256: str


class _File(StrictModel):
    model_config = ConfigDict(allow_inf_nan=False)

    kind: Literal["assignment"]
    format: int
    id: Uid
    alias: Alias
    age_band: Annotated[AgeBand, Field(strict=False)]
    plan: PlanId
    title: Text
    assigned_at: Moment
    due: Day
    plan_sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


def text_hash(text: str) -> str:
    """The hash of a text, whatever line ends it travelled with."""
    return hashlib.sha256(text.replace("\r\n", "\n").encode("utf-8")).hexdigest()


def write_assignment(assignment: Assignment) -> str:
    """`assignment` as TOML that `read_assignment` reads back."""
    fields = {name: getattr(assignment, name) for name in _File.model_fields if name not in ("kind", "format")}
    return tomli_w.dumps({"kind": "assignment", "format": FORMAT, **fields, "age_band": assignment.age_band.value})


def read_assignment(text: str, plan_text: str, name: str) -> Assignment:
    """The assignment in `text`, of which `plan_text` is the plan beside it; `name` is the file's, for errors.

    Raises InputError in one line for what is no assignment, of a newer format, with a key that is not known, and
    where the plan is not the one that was assigned.
    """
    file = read_toml(text, name, _File)
    require_format(file.format, FORMAT, place(key_lines(text), name, ("format",)))
    if file.plan_sha256 != text_hash(plan_text):
        raise InputError("the plan beside it was changed since it was assigned", name, "ask the coach for both again")
    return Assignment(
        id=file.id,
        alias=file.alias,
        age_band=file.age_band,
        plan=file.plan,
        title=file.title,
        assigned_at=file.assigned_at,
        due=file.due,
        plan_sha256=file.plan_sha256,
    )
