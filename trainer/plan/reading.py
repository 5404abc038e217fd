"""TOML text -> Plan, or every error of the text as one line each: `file:line: key: what, and what to do`."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from trainer.core.errors import InputError
from trainer.core.key_lines import key_lines, line_of, shown_path
from trainer.plan.model import (
    LEVELS,
    Aim,
    Plan,
    PlanBlock,
    Series,
    Variant,
    Variants,
    WindNeeds,
    require_balls,
)

LARGEST_BYTES = 256 * 1024
LONGEST_LINE = 2000
"""A line longer than this is no plan; a key of many thousand dots would take minutes to parse."""

_LONGEST_ERROR = 300
_SYNTAX_PLACE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_TABLES: dict[str, type[BaseModel]] = {
    "block": PlanBlock,
    "wind": WindNeeds,
    "aim": Aim,
    "series": Series,
    "levels": Variants,
    **dict.fromkeys(LEVELS, Variant),
}


class PlanErrors(InputError):  # noqa: N818 - it holds several errors
    """A plan that cannot be used. `lines` holds every error, one line each."""

    def __init__(self, lines: tuple[str, ...]) -> None:
        more = f" (and {len(lines) - 1} more)" if len(lines) > 1 else ""
        super().__init__(f"{lines[0]}{more}")
        self.lines = lines


def load_plan(path: str | Path) -> Plan:
    """Read the plan at `path`; raises PlanErrors where it cannot be read or is wrong."""
    return read_plan(plan_text(path), str(path))


def plan_text(path: str | Path) -> str:
    """The text of the file at `path`; raises PlanErrors where it cannot be read, is too long or not UTF-8."""
    name = str(path)
    try:
        with Path(path).open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        why = error.strerror or "it cannot be read"
        raise PlanErrors((error_line(name, 1, "file", why, "check the path and its permissions"),)) from error
    except ValueError as error:
        raise PlanErrors((error_line(name, 1, "file", "the path is no path", "check how it is written"),)) from error
    if len(content) > LARGEST_BYTES:
        raise PlanErrors((_too_large(name),))
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise PlanErrors((error_line(name, line, "file", "this is not UTF-8 text", "save it as UTF-8"),)) from error


def read_plan(text: str, name: str) -> Plan:
    """Read a plan's TOML `text`; `name` is what its errors call it. Raises PlanErrors."""
    text = text.replace("\r\n", "\n")
    raw = _parsed(text, name)
    problems: list[tuple[tuple[str | int, ...], str]]
    try:
        return Plan.model_validate(raw)
    except ValidationError as error:
        details = error.errors(include_url=False, include_context=False)
        problems = [(_path(detail), _what(detail)) for detail in details if not _follows(detail, details)]
    lines = key_lines(text)
    newer = [problem for problem in problems if problem[0] == ("format",) and "newer" in problem[1]]
    problems = newer or problems + _hidden(raw, problems)
    placed = sorted((line_of(path, lines), place, path, what) for place, (path, what) in enumerate(problems))
    raise PlanErrors(
        tuple(error_line(name, line, shown_path(path) or "plan", what) for line, _, path, what in placed)
    )


def error_line(name: str, line: int, key: str, what: str, remedy: str = "") -> str:
    """One printable line, whatever stood in the file."""
    text = f"{name}:{line}: {key}: {what}" + (f", {remedy}" if remedy else "")
    text = " ".join(text.split())
    text = "".join(char if char.isprintable() else "?" for char in text)
    return text if len(text) <= _LONGEST_ERROR + len(name) else f"{text[: _LONGEST_ERROR + len(name)]}…"


def _too_large(name: str) -> str:
    return error_line(name, 1, "file", f"it is larger than {LARGEST_BYTES // 1024} KB", "split it or shorten it")


def _parsed(text: str, name: str) -> dict[str, Any]:
    if len(text.encode("utf-8", "replace")) > LARGEST_BYTES:
        raise PlanErrors((_too_large(name),))
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            what = f"the line is longer than {LONGEST_LINE} characters"
            raise PlanErrors((error_line(name, number, "TOML", what, "break it up"),))
    try:
        return tomllib.loads(text)
    except RecursionError:
        what = "brackets are nested too deep"
        raise PlanErrors((error_line(name, 1, "TOML", what, "a plan needs no more than three levels"),)) from None
    except ValueError as error:
        place = _SYNTAX_PLACE.search(str(error))
        line_number = int(place[1]) if place and place[1] else text.rstrip("\n").count("\n") + 1
        what = _SYNTAX_PLACE.sub("", str(error)).lower() if place else str(error).lower()
        raise PlanErrors((error_line(name, line_number, "TOML", what, "write it as TOML"),)) from error


def _path(detail: ErrorDetails) -> tuple[str | int, ...]:
    return tuple(detail["loc"])


def _follows(detail: ErrorDetails, details: list[ErrorDetails]) -> bool:
    """Whether a list is called too short only because what stands in it is wrong."""
    path = _path(detail)
    return detail["type"] == "too_short" and any(
        len(_path(other)) > len(path) and _path(other)[: len(path)] == path for other in details
    )


def _hidden(raw: Mapping[str, Any], problems: list[tuple[tuple[str | int, ...], str]]) -> list[Any]:
    """The blocks' balls against the plan's: checked here where an error in a block kept the model from it."""
    in_blocks = any(path[0] == "block" and len(path) > 1 for path, _ in problems)
    blocks = raw.get("block")
    balls = raw.get("balls")
    if not in_blocks or not isinstance(blocks, list) or type(balls) is not int:
        return []
    counts = [block.get("balls") for block in blocks if isinstance(block, dict)]
    try:
        require_balls(balls, [count for count in counts if type(count) is int and count > 0])
    except ValueError as error:
        return [(("block",), str(error))]
    return []


_WORDED = {
    "int_type": "must be a whole number, write it without quotes or a decimal point",
    "string_type": "must be text, put it in quotes",
    "tuple_type": 'must be a list, write it in brackets such as ["7 iron"]',
    "model_type": "must be a table, write it as { key = value }",
    "date_type": "must be a date, write such as 2026-05-01 without quotes",
    "too_short": "the list is empty, name at least one",
    "string_too_short": "is empty, write something or leave the key out",
}


def _what(detail: ErrorDetails) -> str:
    """What is wrong and what to do, in plain words, for one of pydantic's findings."""
    kind = detail["type"]
    if kind == "value_error":
        return detail["msg"].removeprefix("Value error, ")
    if kind == "missing":
        return f"it is missing, add {detail['loc'][-1]} = …"
    if kind == "extra_forbidden":
        return _unknown(detail)
    if kind in _WORDED:
        return _WORDED[kind]
    message = detail["msg"].removeprefix("Input should ")
    given = detail["input"]
    shown = f" (it is {given})" if isinstance(given, int | float | str) else ""
    return f"it should {message}{shown}, change it" if message != detail["msg"] else f"{message}{shown}, change it"


def _unknown(detail: ErrorDetails) -> str:
    path = detail["loc"]
    holders = [part for part in path[:-1] if isinstance(part, str)]
    model = _TABLES[holders[-1]] if holders else Plan
    known = [field.alias or name for name, field in model.model_fields.items()]
    near = difflib.get_close_matches(str(path[-1])[:60], known, n=1)
    advice = f"did you mean '{near[0]}'?" if near else f"use one of {', '.join(known)}"
    return f"the key is unknown, {advice}"
