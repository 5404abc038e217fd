"""Plan -> TOML text, without losing meaning: reading it back gives the same plan."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import tomli_w

from trainer.plan.model import Plan

WIDTH = 80
"""Columns of a narrow terminal."""


def plan_to_toml(plan: Plan) -> str:
    """The plan as TOML; what is at its default stays unwritten."""
    return tomli_w.dumps(plan.said())


def draft_to_toml(raw: Mapping[str, Any]) -> str:
    """The keys of a plan, right or wrong, as TOML a line a key, as a person would write it.

    `block` is a list of tables and `levels` a table of tables; every other table stands in its key's line. A list too
    long for a line has a line for each of its items.
    """
    parts = [_table("", {key: value for key, value in raw.items() if key not in ("block", "levels")})]
    parts += [_table("[[block]]", block) for block in raw.get("block", ())]
    parts += [_table(f"[levels.{level}]", said) for level, said in raw.get("levels", {}).items()]
    return "\n".join(parts)


def _table(head: str, values: Mapping[str, Any]) -> str:
    lines = [head] if head else []
    return "".join(f"{line}\n" for line in [*lines, *(_line(key, value) for key, value in values.items())])


def _line(key: str, value: Any) -> str:
    line = f"{key} = {_value(value)}"
    if len(line) <= WIDTH or not isinstance(value, list | tuple):
        return line
    return "\n".join([f"{key} = [", *(f"    {_value(each)}," for each in value), "]"])


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_value(each)}" for key, each in value.items()) + " }"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(_value(each) for each in value) + "]"
    if isinstance(value, date):
        return value.isoformat()
    # A JSON string is a TOML string, and so are its whole numbers and truths; only the delete character is not.
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
