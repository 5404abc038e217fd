"""A shot as a player types it, to `ShotEntry` and back.

Tokens stand in any order and either case:

    142          carry (total, where the player sees balls finish)
    142/151      carry and total; `/151` total alone, `142/` carry alone
    6L  6R       left or right of the target line
    red-5 red+3  short of or past a flag
    ^22          peak height, in the player's height unit
    hang=5.3     seconds in the air
    speed= launch= spin=    ball speed, launch angle (degrees), spin (rpm)
    short pin long, left straight right, z1…z9      a zone instead of a number, z7 being long left
    x            mishit
    -            hit, and not seen where
    #closer      a tag

A unit stands against its number (`130m`, `6mL`); a bare number is in the player's unit. A comma is refused: it
might part two tokens as well as mark a decimal.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

from trainer.core.errors import InputError
from trainer.core.profile import Sees
from trainer.core.shot import Depth, ShotEntry, Width
from trainer.core.units import UNITS, UnitChoice, from_si, parse_quantity, to_si, unit_named, unit_written
from trainer.exchange.plain_text import require_line, shown_text
from trainer.exchange.quantity_text import MOST_DECIMALS, decimal_text, exact_quantity, token_text
from trainer.exchange.shot_limits import require_consistent, require_limit

LONGEST_LINE = 200
"""Characters in a typed line."""

LONGEST_NOTE = 1000
"""Characters of a note that are searched for tags."""

FLAG_NAME = r"[^\W\d_][^\W_]{0,29}(?:-[^\W\d_][^\W_]{0,29}){0,3}"
"""A flag's name is one word of letters and digits, from a letter; further words are joined by hyphens."""

TAG_NAME = r"[a-z0-9-]{1,30}"
"""A tag without its `#`."""

_NUMBER = r"(?:[0-9]{1,9}(?:\.[0-9]{1,9})?|\.[0-9]{1,9})"
_UNIT = r"[^\W\d_]{0,7}"
_DISTANCE = re.compile(rf"([+-]?{_NUMBER}{_UNIT})?(/)?([+-]?{_NUMBER}{_UNIT})?")
_SIDE = re.compile(rf"({_NUMBER})({_UNIT})([lr])")
_FLAG = re.compile(rf"({FLAG_NAME})([+-]{_NUMBER}{_UNIT})")
_TAG = re.compile(rf"#({TAG_NAME})")
_DASHES = str.maketrans(dict.fromkeys("−–—‐‑", "-"))

PAD_ZONES: dict[str, ShotEntry] = {
    str(3 * row + column + 1): ShotEntry(depth=depth, width=width)
    for row, depth in enumerate(Depth)
    for column, width in enumerate(Width)
}
"""The zones by their keys of a number pad: 7 is long left, 5 pin-high and straight, 3 short right."""

_ZONES: dict[str, ShotEntry] = {
    **{depth.value: ShotEntry(depth=depth) for depth in Depth},
    **{width.value: ShotEntry(width=width) for width in Width},
    **{f"z{key}": zone for key, zone in PAD_ZONES.items()},
}
_MARKS = {"x": ShotEntry(mishit=True), "-": ShotEntry(unseen=True)}

_NAMED: dict[str, tuple[str, str, str | None]] = {
    "hang": ("hang_s", "duration", "s"),
    "speed": ("ball_speed_mps", "speed", None),
    "launch": ("launch_rad", "angle", "deg"),
    "spin": ("spin_rad_s", "spin", "rpm"),
}
"""Field, kind and bare unit of a `name=` token; None is the player's speed unit."""


def parse_typed_shot(text: str, units: UnitChoice, sees: Sees) -> ShotEntry:
    """What `text` says of one ball, in SI.

    Raises InputError whose `where` is the token at fault: one not understood, out of range, said twice or against
    another; and where nothing is said of the ball (a tag alone says nothing).
    """
    require_line(text, LONGEST_LINE)
    entry = ShotEntry()
    for token in text.split():
        entry = _joined(entry, _read_token(token, units, sees), token)
    if replace(entry, tags=()) == ShotEntry():
        raise InputError(
            "nothing is said of the ball", shown_text(text), "write a distance, a zone, x, or - for a ball not seen"
        )
    return entry


def _read_token(token: str, units: UnitChoice, sees: Sees) -> ShotEntry:
    where = shown_text(token)
    folded = token.lower().translate(_DASHES)
    if known := (_ZONES.get(folded) or _MARKS.get(folded)):
        return known
    if "," in folded:
        raise InputError("a comma is not read", where, "write a point for decimals, a space between tokens")
    for read in _READERS:
        if (entry := read(folded, units, sees, where)) is not None:
            return entry
    raise InputError(
        "this is not understood",
        where,
        "write such as 142, 142/151, 6L, red-5, ^22, hang=5.3, short, x, -, #tag",
    )


def _joined(entry: ShotEntry, part: ShotEntry, token: str) -> ShotEntry:
    """`entry` and what one token adds to it; raises InputError where they overlap or contradict."""
    where = shown_text(token)
    added: dict[str, Any] = {}
    for field in fields(ShotEntry):
        new, old = getattr(part, field.name), getattr(entry, field.name)
        if new == field.default or field.name == "resolution_m":
            continue
        if field.name == "tags" and new[0] not in old:
            new = old + new
        elif old != field.default:
            raise InputError("the same thing is said twice", where, "leave out one of the two")
        added[field.name] = new
    if entry.resolution_m is None or part.carry_m is not None:
        added["resolution_m"] = part.resolution_m or entry.resolution_m
    return require_consistent(replace(entry, **added), where)


def _read_tag(token: str, units: UnitChoice, sees: Sees, where: str) -> ShotEntry | None:
    if not token.startswith("#"):
        return None
    match = _TAG.fullmatch(token)
    if match is None:
        raise InputError("this is no tag", where, "write # and up to 30 letters a-z, digits or hyphens")
    return ShotEntry(tags=(match[1],))


def _read_apex(token: str, units: UnitChoice, sees: Sees, where: str) -> ShotEntry | None:
    if not token.startswith("^"):
        return None
    apex_m = parse_quantity(token[1:], "length", units.height, where)
    return ShotEntry(apex_m=require_limit("apex_m", apex_m, where, units.height))


def _read_named(token: str, units: UnitChoice, sees: Sees, where: str) -> ShotEntry | None:
    name, equals, value = token.partition("=")
    if not equals or name not in _NAMED:
        return None
    field, kind, bare_unit = _NAMED[name]
    quantity = parse_quantity(value, kind, bare_unit or units.speed, where)
    measured: dict[str, Any] = {field: require_limit(field, quantity, where, bare_unit or units.speed)}
    return ShotEntry(**measured)


def _read_flag(token: str, units: UnitChoice, sees: Sees, where: str) -> ShotEntry | None:
    match = _FLAG.fullmatch(token)
    if match is None:
        return None
    offset_m = parse_quantity(match[2], "length", units.distance, where)
    return ShotEntry(
        flag=match[1],
        flag_offset_m=require_limit("flag_offset_m", offset_m, where, units.distance) + 0.0,
        resolution_m=resolution(match[2], units.distance),
    )


def _read_side(token: str, units: UnitChoice, sees: Sees, where: str) -> ShotEntry | None:
    match = _SIDE.fullmatch(token)
    if match is None or unit_named(match[2] + match[3]) is not None:  # `130meter` ends with an r and is no side
        return None
    side_m = parse_quantity(match[1] + match[2], "length", units.distance, where)
    side_m = (-side_m if match[3] == "l" else side_m) + 0.0
    return ShotEntry(side_m=require_limit("side_m", side_m, where, units.distance))


def _read_distance(token: str, units: UnitChoice, sees: Sees, where: str) -> ShotEntry | None:
    match = _DISTANCE.fullmatch(token)
    if match is None or not (match[1] or match[3]):
        return None
    first, slash, second = match[1], match[2], match[3]
    if first and second:
        _require_one_unit(first, second, units, where)
    finish = not slash and sees is Sees.FINISH
    carry_text, total_text = (None, first) if finish else (first, second)
    return ShotEntry(
        carry_m=_distance_m("carry_m", carry_text, units, where),
        total_m=_distance_m("total_m", total_text, units, where),
        resolution_m=resolution(carry_text or total_text or "", units.distance),
    )


def _distance_m(field: str, text: str | None, units: UnitChoice, where: str) -> float | None:
    if text is None:
        return None
    return require_limit(field, parse_quantity(text, "length", units.distance, where), where, units.distance)


def _require_one_unit(first: str, second: str, units: UnitChoice, where: str) -> None:
    """`142/151m` for a player in yards: is 142 in yards or in metres?"""
    one, other = _unit_of(first, ""), _unit_of(second, "")
    if bool(one) != bool(other) and (one or other) != units.distance:
        raise InputError("only one of the two numbers has a unit", where, "write the unit on both")


def _unit_of(text: str, bare_unit: str) -> str:
    return unit_written(text) or bare_unit


_Reader = Callable[[str, UnitChoice, Sees, str], ShotEntry | None]
_READERS: tuple[_Reader, ...] = (_read_tag, _read_apex, _read_named, _read_flag, _read_side, _read_distance)


def resolution(text: str, bare_unit: str) -> float | None:
    """The step that `text` (a number, perhaps a unit) was rounded to, m: 0.9144 for `142`, 0.1 for `142.3m`."""
    match = re.search(r"[0-9]*(?:\.([0-9]*))?", text.lstrip("+-"))
    unit = _unit_of(text, bare_unit)
    if match is None or unit not in UNITS:
        return None
    return to_si(float(f"1e-{len(match[1] or '')}"), unit)


def tags_in(note: str) -> tuple[str, ...]:
    """The tags in a note, each once, in order. A word that is no tag is part of the note."""
    found = (_TAG.fullmatch(word.lower().rstrip(".,;")) for word in note[:LONGEST_NOTE].split())
    return tuple(dict.fromkeys(match[1] for match in found if match))


def print_typed_shot(entry: ShotEntry, units: UnitChoice, sees: Sees) -> str:
    """`entry` as a player would type it: `parse_typed_shot` of it is `entry` again.

    Exactly so for an entry that came from typed text, whatever the units it was typed in; to 9 decimals of the
    player's unit for a value measured elsewhere. A flag that has been resolved prints as the flag, not the distance.
    """
    tokens = [*_place_tokens(entry, units, sees), *_measure_tokens(entry, units)]
    if entry.mishit:
        tokens.append("x")
    if entry.unseen:
        tokens.append("-")
    return " ".join([*tokens, *(f"#{tag}" for tag in entry.tags)])


def _place_tokens(entry: ShotEntry, units: UnitChoice, sees: Sees) -> list[str]:
    tokens = []
    if entry.flag is not None:
        offset_m = entry.flag_offset_m or 0.0
        number, unit = _rounded(abs(offset_m), entry.resolution_m, units.distance)
        written = number if unit == units.distance else f"{number}{unit}"
        tokens.append(f"{entry.flag}{'-' if offset_m < 0 else '+'}{written}")
    elif entry.carry_m is not None or entry.total_m is not None:
        tokens.append(_distance_token(entry, units, sees))
    if entry.side_m is not None:
        tokens.append(f"{token_text(abs(entry.side_m), units.distance)}{'L' if entry.side_m < 0 else 'R'}")
    tokens.extend(zone.value for zone in (entry.depth, entry.width) if zone is not None)
    return tokens


def _distance_token(entry: ShotEntry, units: UnitChoice, sees: Sees) -> str:
    carry = total = None
    if entry.carry_m is not None:
        carry = _rounded(entry.carry_m, entry.resolution_m, units.distance)
    if entry.total_m is not None:
        total_step_m = entry.resolution_m if entry.carry_m is None else None
        total = _rounded(entry.total_m, total_step_m, units.distance)
    bare = all(part is None or part[1] == units.distance for part in (carry, total))
    carry_text, total_text = ("" if part is None else part[0] + ("" if bare else part[1]) for part in (carry, total))
    if carry is None:
        return total_text if sees is Sees.FINISH else f"/{total_text}"
    if total is None:
        return carry_text if sees is Sees.LANDING else f"{carry_text}/"
    return f"{carry_text}/{total_text}"


def _rounded(value_m: float, step_m: float | None, preferred: str) -> tuple[str, str]:
    """(number, unit) with the decimals and the unit that say `step_m`; without such a step, what is exact."""
    if step_m is not None:
        lengths = [name for name, unit in UNITS.items() if unit.kind == "length" and name != preferred]
        for unit in (preferred, *lengths):
            for decimals in range(MOST_DECIMALS + 1):
                text = decimal_text(from_si(value_m, unit), decimals)
                if to_si(float(f"1e-{decimals}"), unit) == step_m and to_si(float(text), unit) == value_m:
                    return text, unit
    return exact_quantity(value_m, preferred)


def _measure_tokens(entry: ShotEntry, units: UnitChoice) -> list[str]:
    tokens = []
    if entry.apex_m is not None:
        tokens.append(f"^{token_text(entry.apex_m, units.height)}")
    for name, (field, _, bare_unit) in _NAMED.items():
        value: float | None = getattr(entry, field)
        if value is not None:
            tokens.append(f"{name}={token_text(value, bare_unit or units.speed)}")
    return tokens
