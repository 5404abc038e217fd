"""The line on which each key of a TOML text stands, and its path as an error shows it.

The text is known to be valid TOML. A key inside a value (an inline table, an array over several lines) has no line
of its own: the line of the key that holds it is given.
"""

from __future__ import annotations

import re

Path = tuple[str | int, ...]

_BARE = r"""[A-Za-z0-9_\-]+|"(?:\\.|[^"\\\n])*"|'[^'\n]*'"""
_KEY = re.compile(rf"(?:{_BARE})(?:[ \t]*\.[ \t]*(?:{_BARE}))*")
_PART = re.compile(_BARE)
_BLANK = re.compile(r"[ \t\n]*")
_HEADER = re.compile(r"\[\[?[ \t]*")
_TOKEN = re.compile(
    r'"{3}(?:\\.|[^\\])*?"{3,5}'
    r"|'{3}.*?'{3,5}"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
    r"|\#[^\n]*|[\[{]|[\]}]|\n|[^\"'#\[\]{}\n]+",
    re.DOTALL,
)


def key_lines(text: str) -> dict[Path, int]:
    """Path of each key and table header -> its line, from 1. Array indices in a path count from 0."""
    lines: dict[Path, int] = {(): 1}
    arrays: dict[Path, int] = {}
    table: Path = ()
    position, line = 0, 1
    while position < len(text):
        end = position
        if header := _HEADER.match(text, position):
            key = _KEY.match(text, header.end())
            table = _opened(_parts(key[0] if key else ""), header[0].startswith("[["), arrays)
            lines.setdefault(table, line)
            end = header.end()
        elif key := _KEY.match(text, position):
            lines.setdefault(table + _parts(key[0]), line)
            end = key.end()
        position = _end_of_statement(text, end, nested=header is not None)
        line += text.count("\n", end, position)
        position, line = _skip_blank(text, position, line)
    return lines


def line_of(path: Path, lines: dict[Path, int]) -> int:
    """The line of `path`, or of the nearest key or table that holds it."""
    while path not in lines:
        path = path[:-1]
    return lines[path]


def shown_path(path: Path) -> str:
    """`block[1].drill`: what stands in a list counts from 1, as people do."""
    return "".join(f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in path).removeprefix(".")


def _parts(key: str) -> Path:
    return tuple(part.strip("\"'") for part in _PART.findall(key))


def _opened(parts: Path, is_array: bool, arrays: dict[Path, int]) -> Path:
    """The full path of a table header: an array's latest element is meant where a part names an array."""
    path: Path = ()
    for place, part in enumerate(parts, 1):
        path += (part,)
        if is_array and place == len(parts):
            arrays[path] = arrays.get(path, -1) + 1
        if path in arrays:
            path += (arrays[path],)
    return path


def _end_of_statement(text: str, position: int, *, nested: bool) -> int:
    """Past the newline that ends the statement: one outside strings, comments and brackets.

    A header's closing brackets close what was opened before `position`, so there the first newline ends it.
    """
    depth = 0
    while position < len(text):
        token = _TOKEN.match(text, position)
        if token is None:
            return len(text)
        position = token.end()
        if token[0] in {"[", "{"}:
            depth += 1
        elif token[0] in {"]", "}"}:
            depth -= 1
        elif token[0] == "\n" and (nested or depth <= 0):
            break
    return position


def _skip_blank(text: str, position: int, line: int) -> tuple[int, int]:
    blank = _BLANK.match(text, position)
    end = blank.end() if blank else position
    return end, line + text.count("\n", position, end)
