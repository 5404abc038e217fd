from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.examples import examples
from tests.exchange.result_strategies import results
from trainer.core.errors import InputError
from trainer.exchange.result_file import FORMAT, LARGEST_BYTES, read_result, write_result
from trainer.exchange.result_model import MOST_SHOTS, ResultTable

SHOT = """
[[shot]]
id = "00000000000000a1"
number = 1
at = 2026-05-14 18:31:00
club = "7 iron"
ball = "range"
surface = "grass"
seen = "eye"
reading = "00000000000000b1"
carry_m = 121.5
"""
BODY = f"""kind = "result"
format = 1
alias = "kestrel"
age_band = "14-15"
handed_in_at = 2026-05-15 08:00:00

[player]
id = "00000000000000c1"
as_of = 2026-05-15 08:00:00
hand = "right"
ball = "range"
surface = "grass"
sees = "landing"
seen = "eye"
pin_depth_m = 7.0
pin_width_m = 7.0
grip_steps_m = [0.0, 0.0254]

[player.units]
distance = "yd"
speed = "mph"
temperature = "F"
grip = "in"
height = "ft"

[player.known_carry]
club = "7 iron"
carry_m = 120.0
basis = "measured"

[[player.club]]
key = "7 iron"
name = "7 iron"
loft_rad = 0.58
length_m = 0.94
stock_carry_m = 120.0

[session]
id = "00000000000000d1"
started_at = 2026-05-14 18:30:00
air_temperature_k = 288.15
air_pressure_pa = 101325.0
air_relative_humidity = 0.5
turf = "medium"

[[reading]]
id = "00000000000000b1"
at = 2026-05-14 18:30:00
knowledge = "read"
speed_mps = 5.0
from_rad = 0.3
height_m = 2.0
method = "meter"
place = "open"
{SHOT}"""


def sealed(body: str) -> bytes:
    """`body` under its right checksum: what a person who knows the format might send."""
    return f'checksum = "sha256:{hashlib.sha256(body.encode()).hexdigest()}"\n{body}'.encode()


def refused(content: bytes) -> str:
    with pytest.raises(InputError) as caught:
        read_result(content, "a.result.toml")
    said = str(caught.value)
    assert "\n" not in said
    assert said.isprintable()
    assert said.startswith("a.result.toml")
    return said


def test_a_written_file_is_read() -> None:
    result = read_result(sealed(BODY), "a")
    assert result.alias == "kestrel"
    assert [shot.carry_m for shot in result.shot] == [121.5]


@given(results())
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_what_is_written_is_read_back_the_same(result: ResultTable) -> None:
    text = write_result(result)
    again = read_result(text.encode(), "a")
    assert again == result
    assert write_result(again) == text
    assert read_result(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode(), "a") == result


def test_a_file_that_was_changed_is_refused() -> None:
    assert "checksum" in refused(sealed(BODY).replace(b"121.5", b"131.5"))


def test_a_file_that_was_cut_off_is_refused() -> None:
    content = sealed(BODY)
    assert "checksum" in refused(content[:-40])
    refused(content[:30])


def test_a_newer_file_is_refused_as_newer_whatever_else_is_in_it() -> None:
    newer = BODY.replace("format = 1", f"format = {FORMAT + 1}\nunheard_of = 1")
    assert "newer" in refused(sealed(newer))
    assert "newer" in refused(sealed(newer)[:-40])


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        ('alias = "kestrel"', 'alias = "kestrel"\nname = "somebody"', "name"),
        ("turf =", "weather = 1\nturf =", "weather"),
        ("carry_m = 121.5", "carry_m = 121.5\ncommand = 'rm'", "command"),
        ("pin_depth_m = 7.0", "pin_depth_m = 7.0\nbirth_date = 2012-01-01", "birth_date"),
    ],
)
def test_a_key_that_is_not_known_is_refused_by_name(old: str, new: str, named: str) -> None:
    assert BODY.count(old) == 1
    assert named in refused(sealed(BODY.replace(old, new)))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("carry_m = 121.5", "carry_m = nan"),
        ("carry_m = 121.5", "carry_m = inf"),
        ("carry_m = 121.5", "carry_m = 1215.0"),
        ("carry_m = 121.5", 'carry_m = "121.5"'),
        ("carry_m = 121.5", "carry_m = true"),
        ("carry_m = 121.5", "unseen = true\ncarry_m = 121.5"),
        ("carry_m = 121.5", "called_80_m = [130.0, 120.0]"),
        ("number = 1", "number = 0"),
        ("number = 1", "number = 1.0"),
        ('club = "7 iron"\nball', 'club = "8 iron"\nball'),
        ('reading = "00000000000000b1"', 'reading = "00000000000000b2"'),
        ('id = "00000000000000a1"', 'id = "../../etc/passwd"'),
        ('id = "00000000000000d1"', 'id = ""'),
        ('alias = "kestrel"', 'alias = ""'),
        ('alias = "kestrel"', 'alias = "kes\\u001b[31mtrel"'),
        ('alias = "kestrel"', 'alias = "kes\\ntrel"'),
        ('alias = "kestrel"', 'alias = "kes\\u202etrel"'),
        ('alias = "kestrel"', f'alias = "{"k" * 41}"'),
        ('name = "7 iron"', 'name = "7 \\u009b31m iron"'),
        ("carry_m = 121.5", 'tags = ["=cmd"]'),
        ("carry_m = 121.5", 'flag = "=HYPERLINK(1)"'),
        ("carry_m = 121.5", f"tags = {['a'] * 41}"),
        ('turf = "medium"', 'turf = "medium"\nnote = "two\\nlines"'),
        ('turf = "medium"', 'turf = "medium"\nplan = "../plan"'),
        ("started_at = 2026-05-14 18:30:00", "started_at = 0001-05-14 18:30:00"),
        ("started_at = 2026-05-14 18:30:00", "started_at = 2026-05-14"),
        ("stock_carry_m = 120.0", "stock_carry_m = 120.0\nretired = true"),
        ("stock_carry_m = 120.0", "stock_carry_m = 450.0"),
        ("air_temperature_k = 288.15", "air_temperature_k = 210.0"),
        ("air_pressure_pa = 101325.0", "air_pressure_pa = 40000.0"),
        ('distance = "yd"', 'distance = "mph"'),
        ('speed = "mph"', 'speed = "deg"'),
        ('height = "ft"', 'height = "furlong"'),
        ("from_rad = 0.3", "from_rad = -1e300"),
        ('age_band = "14-15"', 'age_band = "13 years, 2 months"'),
        (SHOT, SHOT + SHOT),
        (SHOT, SHOT * (MOST_SHOTS + 1)),
    ],
)
def test_a_value_that_cannot_be_is_refused(old: str, new: str) -> None:
    assert old in BODY
    refused(sealed(BODY.replace(old, new)))


def test_what_is_too_large_or_no_text_is_refused() -> None:
    refused(sealed(BODY + "#" * LARGEST_BYTES))
    refused(b"\xff\xfe\x00" + sealed(BODY))
    refused(b"")
    refused(b"PK\x03\x04")


_PIECES = [
    *re.split(r"(?<=\n)", BODY), "[", "]", "{", '"', "'", "=", ".", "nan", "-1", "9" * 400, "[[shot]]\n", "\\",
    "\x00", "a." * 300, "shot = [", "session = 1\n", "é", "\u202e", "1e999", "2026-13-40", '"""',
]  # fmt: skip


@st.composite
def near_misses(draw: st.DrawFn) -> bytes:
    """A result file with some of its lines gone, doubled, swapped or put in from elsewhere."""
    lines = re.split(r"(?<=\n)", BODY)
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(lines) - 1))
        piece = draw(st.sampled_from(_PIECES))
        lines[at : at + draw(st.integers(0, 2))] = [piece]
    body = "".join(lines)
    return sealed(body) if draw(st.booleans()) else body.encode()


anything = st.one_of(near_misses(), st.binary(max_size=300), st.text(max_size=200).map(sealed))


def read_or_why(content: bytes) -> ResultTable | str:
    try:
        return read_result(content, "a.result.toml")
    except InputError as error:
        return str(error)


def require_read_or_refused(content: bytes) -> None:
    result = read_or_why(content)
    if isinstance(result, str):
        assert "\n" not in result
        assert result.isprintable()
    else:
        assert len(result.shot) <= MOST_SHOTS
        assert read_result(write_result(result).encode(), "b") == result


@given(anything)
@settings(max_examples=examples(300), suppress_health_check=[HealthCheck.too_slow])
def test_whatever_comes_is_read_or_refused_in_a_line(content: bytes) -> None:
    require_read_or_refused(content)


@pytest.mark.proof
@given(anything)
@settings(max_examples=100_000, suppress_health_check=[HealthCheck.too_slow])
def test_a_hundred_thousand_inputs_are_read_or_refused_in_a_line(content: bytes) -> None:
    require_read_or_refused(content)


def test_reading_touches_nothing_but_the_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    body = BODY.replace("turf =", 'note = "$(touch a); {0.__class__}; %s; =cmd|calc; ![x](y)"\nturf =')
    note = read_result(sealed(body), "../../a").session.note
    assert note == "$(touch a); {0.__class__}; %s; =cmd|calc; ![x](y)"
    assert list(tmp_path.iterdir()) == []
