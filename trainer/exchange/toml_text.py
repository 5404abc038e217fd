"""TOML from files that anybody may have written: read safely, checked strictly, told by file, line and key."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from trainer.core.errors import InputError
from trainer.core.key_lines import Path, key_lines, shown_path
from trainer.exchange.plain_text import shown_text

LARGEST_TEXT = 256 * 1024
"""Characters in a file of any kind that is read here."""

LONGEST_LINE = 1000
"""Characters in one line of it: long dotted keys cost the parser the square of their length."""


class StrictModel(BaseModel):
    """A table of the file: unknown keys are refused, nothing is converted, nothing changes afterwards."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


Model = TypeVar("Model", bound=StrictModel)


def read_toml(text: str, name: str, model: type[Model]) -> Model:
    """`text` of the file `name` as `model`.

    Raises InputError in one line (`name:line: key`, what, remedy) for what is no TOML, too large, nested too deep,
    or not of the model's shape.
    """
    if len(text) > LARGEST_TEXT:
        raise InputError(
            f"the file is longer than {LARGEST_TEXT // 1024} KB", name, "it holds something else; shorten it"
        )
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            raise InputError(f"the line is longer than {LONGEST_LINE} characters", f"{name}:{number}", "part it")
    try:
        table = tomllib.loads(text)
    except RecursionError:
        raise InputError("the file is nested too deep", name, "write plain tables") from None
    except ValueError as error:  # TOMLDecodeError is one; a number too long for int() is another
        raise _no_toml(error, name) from None
    try:
        return model.model_validate(table)
    except ValidationError as error:
        raise _refused(error, text, name, model) from None


def _no_toml(error: ValueError, name: str) -> InputError:
    said = str(error)
    match = re.search(r" \(at line (\d+), column \d+\)$", said)
    where = f"{name}:{match[1]}" if match else name
    what = said[: match.start()] if match else said
    return InputError(f"this is not TOML ({shown_text(what, 100)})", where, 'write lines such as hand = "right"')


def _refused(error: ValidationError, text: str, name: str, model: type[StrictModel]) -> InputError:
    """One fault that pydantic found, in the house's one line: a misspelt key before the key it leaves missing."""
    faults = error.errors(include_url=False, include_input=False)
    fault = next((one for one in faults if one["type"] == "extra_forbidden"), faults[0])
    path = fault["loc"]
    where = place(key_lines(text), name, path)
    if fault["type"] == "extra_forbidden":
        known = ", ".join(_known_keys(model, path[:-1]))
        return InputError("this key is not known", where, f"use one of {known}" if known else "leave it out")
    if fault["type"] == "missing":
        return InputError("this key is missing", where, "add it")
    return InputError(f"this value is not right ({shown_text(fault['msg'], 100)})", where, "correct it")


def _known_keys(model: type[StrictModel], path: Sequence[str | int]) -> list[str]:
    """The keys of the table at `path`, as the file writes them."""
    current: Any = model
    for part in path:
        if isinstance(part, str) and part in current.model_fields:
            current = _inner_model(current.model_fields[part].annotation)
        if current is None:
            return []
    return list(current.model_fields)


def _inner_model(annotation: Any) -> Any:
    """The model inside `Model`, `Model | None`, `list[Model]` or `dict[str, Model]`."""
    if isinstance(annotation, type) and issubclass(annotation, StrictModel):
        return annotation
    inner = (_inner_model(part) for part in getattr(annotation, "__args__", ()))
    return next((model for model in inner if model is not None), None)


def require_format(written: int, known: int, where: str) -> None:
    """Raise InputError where a file is of another format than the one `known` here."""
    if written != known:
        raise InputError(f"format {written} is not known", where, f"this program reads format {known}")


def place(lines: Mapping[Path, int], name: str, path: Path) -> str:
    """`name:line: key` for the value at `path`, lists counted from 1; a missing key has its table's line, if any."""
    shown = shown_text(shown_path(path), 80)
    held = next((path[:depth] for depth in range(len(path), 0, -1) if path[:depth] in lines), None)
    return f"{name}: {shown}" if held is None else f"{name}:{lines[held]}: {shown}"
