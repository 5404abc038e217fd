"""Every reader fed with spoilt input: only InputError leaves, in one printable line, soon, and in bounded memory.

Good examples are mutated (cut, spliced, doubled, filled with rubbish) by a seeded generator, so that most of what is
tried is nearly right. A quick run is part of every test run; the slow one tries a hundred thousand and more.
"""

from __future__ import annotations

import random
import resource
import sys
import time
from collections.abc import Callable
from datetime import date

import pytest

from tests.exchange import strategies as some
from trainer.core.errors import InputError
from trainer.core.profile import Sees
from trainer.core.units import UnitChoice
from trainer.exchange import column_toml, profile_toml
from trainer.exchange.cell_text import parse_cell
from trainer.exchange.column_toml import column_map_from_toml
from trainer.exchange.profile_toml import read_profile
from trainer.exchange.row_reader import TableRow
from trainer.exchange.shot_limits import LIMITS
from trainer.exchange.shot_table import open_table, propose, read_rows, survey_table, table_questions
from trainer.exchange.table_columns import answered_map
from trainer.exchange.typed_line import parse_line
from trainer.exchange.typed_shot import parse_typed_shot
from trainer.exchange.wind_text import parse_compass, parse_direction, parse_wind
from trainer.plan.collection import shipped_folder
from trainer.plan.reading import read_plan

LONGEST_S = 5.0
"""No input of a few kilobytes may take longer: a hang, not a speed, is looked for."""

MOST_MEMORY_KB = 300_000

YARDS = UnitChoice()
Read = Callable[[bytes], object]


def _text(call: Callable[[str], object]) -> Read:
    """A reader of text, fed with bytes as a file or a keyboard might give them."""
    return lambda data: call(data.decode("utf-8", errors="replace"))


def _read_table(data: bytes) -> None:
    """A table with its questions answered by their first choice."""
    table = open_table(data, "t.csv")
    columns = propose(table)
    for _ in range(40):
        asked = table_questions(columns, survey_table(table, columns))
        if not asked:
            break
        columns = answered_map(columns, asked[0].key, asked[0].choices[0], table.header, table.sample)
    for row in read_rows(table, columns, None, date(2025, 5, 3)):
        if isinstance(row, TableRow):
            for name, limit in LIMITS.items():
                value = getattr(row.entry, name)
                assert value is None or limit.low - 1e-6 <= value <= limit.high + 1e-6
        else:
            assert row.why


_TABLES = (
    "Club,Carry (yd),Side (yd),Launch,Spin (rpm)\n7 iron,148,3 L,17.2,6400\nAverage,151,2 R,16.8,6300\n",
    "Time;Club;Carry;Total;Offline [m]\n;;m;m;\n3.5.2025 18:30;7i;138,5;140,1;-3,2\n25.5.2025 6:30 PM;PW;99,0;-;4\n",
    "Player\tClub\tCarry\nKim\tIron 7\t142 yd\nMax\t50°\t130m\n\nPlayer\tClub\tCarry\nKim\tP\t1.234\n",
    'Shot,Date,Time,Club,"Carry, yd",Valid,Note\n1,05/03/2025,18:30,"7 iron",142,yes,"two\nlines #low"\n2,,,,,,\n',
    "session,time,club,grip_down_m,swing,carry_m,total_m,side_m,mishit,zone,tags\n"
    "1,2026-05-14T18:30:00,7 iron,0.0254,half,129.8,,-5.5,false,long left,#a #b\n",
)
_LINES = (
    "7 iron, 1 in, three-quarter: 142/151 6L ^22 hang=5.3 x #closer",
    "red-5 3R speed=101mph launch=13.5 spin=5120",
    "wind 14mph 1h gust 20 at 10m forecast in the open",
    "flag red 150yd -10deg",
    "instead 7 iron, half: knee hurts",
    "short left",
    "z7",
    "wind compass 240 12kn bay felt",
    "skip tired",
)
_EXAMPLES: dict[str, tuple[bytes, ...]] = {
    "tables": tuple(text.encode() for text in _TABLES) + tuple(text.encode("utf-16") for text in _TABLES[:2]),
    "column maps": ((column_toml.__doc__ or "").split("```")[1].removeprefix("toml\n").encode(),),
    "profiles": ((profile_toml.__doc__ or "").split("```")[1].removeprefix("toml\n").encode(),),
    "plans": tuple(path.read_bytes() for path in sorted(shipped_folder().glob("*.toml"))[:6]),
    "lines": tuple(line.encode() for line in _LINES),
    "shots": tuple(line.encode() for line in ("142/151 6L ^22 x #a", "red-5 3R", "z7", "130m 3yd r", "long left")),
    "winds": tuple(line.encode() for line in ("14mph 1h gust 20", "calm", "6.7m/s 240 compass at 10m", "5 to 90deg")),
    "directions": (b"1h", b"90deg", b"240", b"NNW", b"12h", b"359.5"),
    "cells": (b"7 iron, 1 in, three-quarter", b"old faithful, half, 2.5cm"),
}
_READERS: dict[str, tuple[Read, ...]] = {
    "tables": (_read_table,),
    "column maps": (_text(lambda text: column_map_from_toml(text, "m.toml")),),
    "profiles": (_text(lambda text: read_profile(text, "p.toml")),),
    "plans": (_text(lambda text: read_plan(text, "plan.toml")),),
    "lines": (_text(lambda text: parse_line(text, YARDS, Sees.LANDING)),),
    "shots": (_text(lambda text: parse_typed_shot(text, YARDS, Sees.FINISH)),),
    "winds": (_text(lambda text: parse_wind(text, YARDS)),),
    "directions": (_text(parse_direction), _text(parse_compass)),
    "cells": (_text(lambda text: parse_cell(text, some.BAG, YARDS)),),
}
_RUBBISH = (
    b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b'"', b"'", b"\n", b"\r", b"\t", b";", b",", b"[[", b"]]", b"{", b"}",
    b"=", b"1e999", b"-1", b"nan", b"inf", b"9" * 400, b"0x10", b"\xe2\x80\xae", b"\xd9\xa3", b"#", b".", b"..",
    b"[block]", b"Average", b"Club", b"m", b"yd", b"12:", b"/", b"31.02.2025", b"\xc2\xa0", b"a" * 3000, b"(" * 200,
)  # fmt: skip


def mutated(rng: random.Random, examples: tuple[bytes, ...]) -> bytes:
    """An example spoilt in a few places."""
    data = bytearray(rng.choice(examples))
    for _ in range(rng.choice((1, 1, 2, 3, 8))):
        at, size = rng.randrange(len(data) + 1), rng.choice((1, 2, 5, 40))
        match rng.randrange(7):
            case 0:
                del data[at : at + size]
            case 1:
                data[at:at] = rng.choice(_RUBBISH)
            case 2:
                data[at : at + size] = rng.choice(_RUBBISH)
            case 3:
                data[at:at] = data[at : at + size] * rng.choice((1, 3, 50))
            case 4:
                other = rng.choice(examples)
                begin = rng.randrange(len(other) + 1)
                data[at:at] = other[begin : begin + size]
            case 5:
                data[at : at + 1] = bytes((rng.randrange(256),))
            case _:
                data = data[:at] if rng.random() < 0.3 else data
        del data[20_000:]
    return bytes(data)


def try_reader(read: Read, data: bytes) -> bool:
    """Whether `data` was read; it must be, or refused as it should, and soon."""
    began, refused = time.monotonic(), ""
    try:
        read(data)
    except InputError as error:
        refused = str(error) or "nothing is said"
    assert refused != "nothing is said"
    assert "\n" not in refused
    assert time.monotonic() - began < LONGEST_S, data[:200]
    return not refused


def _memory_kb() -> int:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak // 1024 if sys.platform == "darwin" else peak


def fuzz(name: str, count: int, seed: int) -> None:
    """Try `count` inputs on the readers called `name`."""
    rng = random.Random(seed)
    examples, readers = _EXAMPLES[name], _READERS[name]
    for read in readers:
        assert any(try_reader(read, example) for example in examples), "no example is good"
    before_kb = _memory_kb()
    for _ in range(count):
        data = mutated(rng, examples)
        for read in readers:
            try_reader(read, data)
    assert _memory_kb() - before_kb < MOST_MEMORY_KB


@pytest.mark.parametrize("name", _EXAMPLES)
def test_spoilt_input_is_refused(name: str) -> None:
    fuzz(name, 250, seed=8)


_PROOF_COUNTS = {
    "tables": 20_000, "column maps": 20_000, "profiles": 10_000, "plans": 10_000,
    "lines": 20_000, "shots": 20_000, "winds": 20_000, "directions": 10_000,
    "cells": 10_000,
}  # fmt: skip


@pytest.mark.proof
@pytest.mark.parametrize("name", _EXAMPLES)
def test_a_hundred_thousand_spoilt_inputs(name: str) -> None:
    assert sum(_PROOF_COUNTS.values()) >= 100_000
    fuzz(name, _PROOF_COUNTS[name], seed=80)
