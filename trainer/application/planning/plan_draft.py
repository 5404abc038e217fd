"""Between a plan file and the form: typed text to TOML, and a plan back to typed text."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from trainer.application.views.plan_form import BLOCK_KEYS, PLAN_KEYS, FieldProblem, FormField, PlanDraft
from trainer.application.views.practice import harmless
from trainer.core.profile import AgeBand
from trainer.core.schedule.drill_kind import Fit
from trainer.core.schedule.drills import DRILLS
from trainer.core.schedule.stages import STAGES
from trainer.plan.model import FORMAT, LEVELS, Plan
from trainer.plan.words import MEASURES

WIND_EXAMPLE = "along at least 6 mph, gust at most 25 mph, from into"
AIM_EXAMPLE = "median error at most 8 % over 2 sessions"
_LISTS = frozenset({"clubs", "grip_down", "swing"})
_GATE = re.compile(r"(along|across|speed|gust) at (least|most) (.+)", re.IGNORECASE)
_FROM = re.compile(r"from (\S+)", re.IGNORECASE)
_AIM = re.compile(r"(.+?) at (most|least) (.+?)(?: over (\d+) sessions?)?", re.IGNORECASE)


def plan_fields(plan_ids: Sequence[str]) -> tuple[FormField, ...]:
    """The lines about the plan as a whole."""
    hints = {
        "id": ("Id", "small letters and digits joined by hyphens; the file's name", ()),
        "title": ("Title", "what it is called", ()),
        "level": ("Level", "whose plan it is", LEVELS),
        "balls": ("Balls", "all balls of the session, the warm-up too", ()),
        "minutes": ("Minutes", "25 to 40 seconds a ball with your routine", ()),
        "wind": ("Wind", f"what it must offer, else blocks are swapped: {WIND_EXAMPLE}", ()),
        "for": ("For", "who it is meant for", ()),
        "note": ("Note", "what the session is for, in a sentence", ()),
        "extends": ("Extends", "a plan to take from what is not said here", tuple(plan_ids)),
        "ages": ("Ages", "for which ages its balls are counted", tuple(AgeBand)),
        "due": ("Due", "a day, such as 2026-05-01", ()),
    }
    return tuple(FormField(key, *hints[key]) for key in PLAN_KEYS)


def block_fields() -> tuple[FormField, ...]:
    """The lines about one block."""
    hints: dict[str, tuple[str, str, tuple[str, ...], bool]] = {
        "drill": ("Drill", "", tuple(DRILLS), False),
        "clubs": ("Clubs", "parted by commas, the stock club first: 8 iron, 7 iron", (), False),
        "balls": ("Balls", "balls of this block", (), False),
        "grip_down": ("Grip down", "with units, parted by commas: 0 in, 1 in, 2 in", (), False),
        "swing": ("Swing", "parted by commas: full, three-quarter", ("full", "three-quarter", "half"), True),
        "fit": ("Fit", "what may be varied to reach the target", tuple(fit.value for fit in Fit), False),
        "target": ("Target", "such as 140 yd, or stock carry of 8 iron", (), False),
        "stage": ("Stage", "how the balls are ordered", tuple(stage.value for stage in STAGES), False),
        "aim": ("Aim", f"{AIM_EXAMPLE}; measures: {', '.join(MEASURES)}", (), False),
        "wind": ("Wind", f"for this block alone: {WIND_EXAMPLE}", (), False),
        "flag": ("Flag", "a flag of your profile, or nearest", (), False),
        "cue": ("Cue", "what to think of, in a sentence", (), False),
        "note": ("Note", "anything to remember", (), False),
    }
    return tuple(FormField(key, *hints[key]) for key in BLOCK_KEYS)


def draft_of(plan: Plan, source: str, *, shipped: bool) -> PlanDraft:
    """A plan as it was written, as typed text; what the form does not show is kept as it is."""
    said: dict[str, Any] = plan.model_dump(by_alias=True, exclude_none=True, exclude_defaults=True)
    shown = {key: _typed(key, said[key]) for key in PLAN_KEYS if key in said}
    kept = {key: value for key, value in said.items() if key not in (*PLAN_KEYS, "block", "format")}
    blocks = tuple(
        {key: _typed(key, block[key]) for key in BLOCK_KEYS if key in block} for block in said.get("block", ())
    )
    return PlanDraft(shown, blocks, kept, source, shipped)


def _typed(key: str, value: Any) -> str:
    if key in _LISTS:
        return ", ".join(value)
    if key == "wind":
        return ", ".join(_gate_words(name, bound) for name, bound in value.items())
    if key == "aim":
        bound = f"at most {value['at_most']}" if "at_most" in value else f"at least {value['at_least']}"
        over = value.get("over_sessions", 1)
        return f"{value['measure']} {bound}" + (f" over {over} sessions" if over > 1 else "")
    return harmless(str(value))


def _gate_words(name: str, bound: str) -> str:
    if name == "from":
        return f"from {bound}"
    what, _, most = name.partition("_at_")
    return f"{what} at {most} {bound}"


def raw_of(draft: PlanDraft) -> tuple[dict[str, Any], tuple[FieldProblem, ...]]:
    """The draft as TOML would hold it, and what could not be taken apart: that stays text, and is said."""
    problems: list[FieldProblem] = []

    def values(typed: Mapping[str, str], block: int | None) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for key, text in typed.items():
            value, wrong = _value(key, " ".join(text.split()))
            if wrong:
                problems.append(FieldProblem(block, key, wrong))
            if value not in ("", []):
                found[key] = value
        return found

    raw: dict[str, Any] = {"format": FORMAT, **values(draft.plan, None), **draft.kept}
    blocks = [values(block, number) for number, block in enumerate(draft.blocks)]
    # Tables come last in TOML: what stands below one would belong to it.
    levels = raw.pop("levels", None)
    return {**raw, "block": blocks, **({} if levels is None else {"levels": levels})}, tuple(problems)


def _value(key: str, text: str) -> tuple[Any, str]:
    """What a field's text is in TOML, and what is wrong with it where it is nothing."""
    parse = _PARSERS.get(key)
    return (text, "") if parse is None or not text else parse(text)


def _whole(text: str) -> tuple[Any, str]:
    return (int(text), "") if re.fullmatch(r"[0-9]{1,6}", text) else (text, "write a whole number, such as 45")


def _list(text: str) -> tuple[Any, str]:
    return [part.strip() for part in text.split(",") if part.strip()], ""


def _day(text: str) -> tuple[Any, str]:
    try:
        return datetime.date.fromisoformat(text), ""
    except ValueError:
        return text, "write a day, such as 2026-05-01"


def _gate(text: str) -> tuple[Any, str]:
    found: dict[str, str] = {}
    for part in (each.strip() for each in text.split(",") if each.strip()):
        if match := _GATE.fullmatch(part):
            found[f"{match[1].lower()}_at_{match[2].lower()}"] = match[3]
        elif match := _FROM.fullmatch(part):
            found["from"] = match[1].lower()
        else:
            return text, f"'{part}' is no bound, write such as {WIND_EXAMPLE}"
    return found, ""


def _aim(text: str) -> tuple[Any, str]:
    match = _AIM.fullmatch(text)
    if match is None:
        return text, f"write such as {AIM_EXAMPLE}"
    found: dict[str, Any] = {"measure": match[1].lower(), f"at_{match[2].lower()}": match[3]}
    if match[4]:
        found["over_sessions"] = int(match[4])
    return found, ""


_PARSERS: dict[str, Callable[[str], tuple[Any, str]]] = {
    "balls": _whole,
    "minutes": _whole,
    "clubs": _list,
    "grip_down": _list,
    "swing": _list,
    "wind": _gate,
    "aim": _aim,
    "due": _day,
}
