"""Whatever is typed or read, only InputError leaves, in one printable line, and nothing is read out of its limits."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import fields, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.examples import examples
from tests.exchange import strategies as some
from trainer.core.errors import InputError
from trainer.core.profile import Sees
from trainer.core.shot import CarryOrigin, ShotEntry
from trainer.core.units import UnitChoice
from trainer.exchange.cell_text import parse_cell
from trainer.exchange.column_toml import column_map_from_toml
from trainer.exchange.profile_toml import read_profile
from trainer.exchange.row_reader import SkippedRow, TableRow
from trainer.exchange.shot_limits import LIMITS
from trainer.exchange.shot_table import open_table, read_rows
from trainer.exchange.table_columns import ColumnMap, propose_columns
from trainer.exchange.table_words import Field, SideSign
from trainer.exchange.typed_line import parse_line
from trainer.exchange.typed_shot import parse_typed_shot
from trainer.exchange.wind_text import parse_direction, parse_wind

YARDS = UnitChoice()

_PIECES = [
    "142", "-5", "6", "1e9", ".5", "12,5", "9" * 40, "l", "R", "/", "-", "−", "+", "^", "#", "=", ":", ",",
    ";", "\t", "x", "z7", "short", "left", "red", "m", "yd", "mph", "m/s", "deg", "h", "hang", "speed",
    "#tag", "wind", "flag", "gust", "at", "compass", "to", "calm", "7 iron", "half", " ", " ", "\x00",
    "\u202e", "é", "٣", "\n", '"', "'",
]  # fmt: skip
near_misses = st.lists(st.sampled_from(_PIECES), max_size=12).map("".join)
anything = st.one_of(near_misses, st.text(max_size=60), st.text(max_size=3).map(lambda text: text * 100))


def require_sound(entry: ShotEntry) -> None:
    for field in fields(ShotEntry):
        value = getattr(entry, field.name)
        if field.name in LIMITS and value is not None:
            assert LIMITS[field.name].low <= value <= LIMITS[field.name].high
            assert math.isfinite(value)


def refusal(call: Callable[[], object]) -> object:
    """What `call` gives, or None where it refuses as it should."""
    try:
        return call()
    except InputError as error:
        refused = error
    assert refused.what
    assert "\n" not in str(refused)
    return None


@given(anything, some.units, some.sees)
def test_typed_shots(text: str, units: UnitChoice, sees: Sees) -> None:
    entry = refusal(lambda: parse_typed_shot(text, units, sees))
    if isinstance(entry, ShotEntry):
        require_sound(entry)
        assert entry != ShotEntry(tags=entry.tags)


@given(anything, st.none() | st.floats(-10, 10))
def test_lines(text: str, bearing_rad: float | None) -> None:
    for line in (text, f"wind {text}", f"flag {text}", f"7 iron: {text}"):
        refusal(lambda line=line: parse_line(line, YARDS, Sees.LANDING, bearing_rad))  # type: ignore[misc]  # bound now


@given(anything)
def test_winds_cells_and_directions(text: str) -> None:
    refusal(lambda: parse_wind(text, YARDS))
    refusal(lambda: parse_cell(text, some.BAG, YARDS))
    refusal(lambda: parse_cell(f"7 iron,{text}", some.BAG, YARDS))
    direction = refusal(lambda: parse_direction(text))
    if isinstance(direction, float):
        assert 0 <= direction < 2 * math.pi


_TOML_PIECES = [
    "format = 1\n", "[units]\n", "[[club]]\n", "[known_carry]\n", "[columns.carry]\n", "[columns]\n",
    "[[flag]]\n", 'name = "7i"\n', 'carry = "150 yd"\n', 'loft = "33 deg"\n', 'length = "1 m"\n',
    'club = "7i"\n', "format = 2\n", 'header = "C"\n', 'unit = "yd"\n', "club = 3\n", "club.a.b = 1\n",
    "grip_steps = []\n", "[", "{", '"', "=", "\n", "club = [1, {}]\n", "units = []\n", "flag = {a = 1}\n",
    'columns = {club = "a"}\n', "alias = nan\n", "#", "\r",
]  # fmt: skip
toml_texts = st.one_of(st.lists(st.sampled_from(_TOML_PIECES), max_size=12).map("".join), st.text(max_size=50))


@given(toml_texts)
def test_profiles_and_maps(text: str) -> None:
    refusal(lambda: read_profile(text, "p.toml"))
    refusal(lambda: column_map_from_toml(text, "m.toml"))


_HEADERS = (
    "Club",
    "Carry (m)",
    "Carry",
    "Total (yd)",
    "Side (m)",
    "Time",
    "Spin",
    "Tags",
    "Mishit",
    "Swing",
    "?",
    "",
)
_CELLS = (
    "7i",
    "142",
    "142,5",
    "1.234",
    "-6",
    "6 L",
    "L",
    "-",
    "",
    "2025-05-03",
    "yd",
    "x",
    "#a",
    "Mean",
    "9" * 70,
    '"',
)
table_texts = st.builds(
    lambda header, rows, mark: "\n".join(mark.join(row) for row in [header, *rows]),
    st.lists(st.sampled_from(_HEADERS), min_size=1, max_size=8),
    st.lists(st.lists(st.sampled_from(_CELLS), max_size=9), max_size=6),
    st.sampled_from((",", ";", "\t")),
)
table_bytes = st.one_of(
    st.binary(max_size=200),
    st.text(max_size=100).map(lambda text: text.encode("utf-16", "surrogatepass")),
    table_texts.map(str.encode),
)


@given(table_bytes)
@settings(max_examples=examples(300))
def test_tables(data: bytes) -> None:
    def read() -> list[TableRow | SkippedRow]:
        table = open_table(data, "t.csv")
        found = propose_columns(table.header, table.sample)
        columns = tuple(
            replace(column, rivals=(), unit=column.unit or ("m" if column.field in _LENGTHS else None))
            for column in found.columns
        )
        return list(read_rows(table, ColumnMap(columns, found.side_positive or SideSign.LEFT, CarryOrigin.SEEN)))

    rows = refusal(read)
    for row in rows if isinstance(rows, list) else []:
        if isinstance(row, TableRow):
            require_sound(row.entry)
            assert row.club_text
        else:
            assert row.why


_LENGTHS = (Field.CARRY, Field.TOTAL, Field.SIDE)


@pytest.mark.parametrize(
    "text", ["1" * 1_000_000, "a-" * 500_000, " " * 1_000_000, "#" * 1_000_000, "7 iron, " * 100_000]
)
def test_a_very_long_line_is_refused(text: str) -> None:
    for call in (parse_typed_shot, parse_line):
        with pytest.raises(InputError):
            call(text, YARDS, Sees.LANDING)
    with pytest.raises(InputError):
        parse_cell(text, some.BAG, YARDS)
