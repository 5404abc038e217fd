"""A plan as a form: its fields as they are typed, and what is said of them. Nothing heavy is loaded here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class FormField:
    """A line of the form: its key in the file, its label, what may be typed, and the answers it has (none: free)."""

    key: str
    label: str
    hint: str
    choices: tuple[str, ...] = ()
    several: bool = False


@dataclass(frozen=True, slots=True)
class PlanDraft:
    """What stands in the form. `plan` and each of `blocks` hold typed text by key, empty ones left out.

    `kept` is what the form does not show and the file keeps, as TOML has it. `source` is the file it was opened from,
    empty for a new plan; `shipped` says that this one is never written to.
    """

    plan: Mapping[str, str]
    blocks: tuple[Mapping[str, str], ...]
    kept: Mapping[str, object] = field(default_factory=dict)
    source: str = ""
    shipped: bool = False


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """What is wrong at a field, and what to do. `block` counts from 0, None for the plan's own fields."""

    block: int | None
    key: str
    words: str


@dataclass(frozen=True, slots=True)
class PlanFormView:
    """A draft looked at: its TOML, what is wrong, and how it suits this player.

    `places` are the line (from 0) of each field in the TOML, by block and key. `own` are sentences by the player's
    own estimates; `suits` is False where one of them says that a ball cannot be played.
    """

    toml: str
    places: Mapping[tuple[int | None, str], int]
    problems: tuple[FieldProblem, ...]
    own: tuple[str, ...]
    suits: bool = True


@dataclass(frozen=True, slots=True)
class PlanForm:
    """A form as it is opened: its fields, the draft, and where it will be saved."""

    plan_fields: tuple[FormField, ...]
    block_fields: tuple[FormField, ...]
    draft: PlanDraft
    drills: Mapping[str, str]
    said: str


PLAN_KEYS = ("id", "title", "level", "balls", "minutes", "wind", "for", "note", "extends", "ages", "due")
BLOCK_KEYS = (
    "drill", "clubs", "balls", "grip_down", "swing", "fit", "target", "stage", "aim", "wind", "flag", "cue", "note",
)  # fmt: skip
"""The keys that the form shows, in the order of its lines."""
