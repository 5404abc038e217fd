"""What is refused, where, and that nothing hides anything else."""

from __future__ import annotations

import contextlib
import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from tests.examples import examples
from tests.plan.examples import GOOD, plans
from trainer.core.errors import InputError
from trainer.core.key_lines import key_lines, line_of
from trainer.plan.model import Plan
from trainer.plan.reading import LARGEST_BYTES, PlanErrors, load_plan, read_plan
from trainer.plan.writing import plan_to_toml


def errors(text: str) -> tuple[str, ...]:
    with pytest.raises(PlanErrors) as caught:
        read_plan(text, "evening.toml")
    return caught.value.lines


def broken(old: str, new: str) -> str:
    assert GOOD.count(old) >= 1
    return GOOD.replace(old, new, 1)


def line_with(text: str, part: str) -> int:
    return next(number for number, line in enumerate(text.split("\n"), 1) if part in line)


def test_the_example_is_read() -> None:
    plan = read_plan(GOOD, "evening.toml")
    assert (plan.id, plan.balls, plan.minutes) == ("first-windy-evening", 45, 50)
    assert [block.balls for block in plan.block] == [15, 18]
    assert plan.block[0].aim is not None
    assert plan.block[0].aim.over_sessions == 2


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("format = 1", "format = 2", "format"),
        ("format = 1", "format = 0", "format"),
        ("format = 1", "format = true", "format"),
        ('"first-windy-evening"', '"First evening"', "id"),
        ('"first-windy-evening"', '"-x"', "id"),
        ('title = "First windy evening"', 'title = "  "', "title"),
        ('level = "club"', 'level = "tour"', "level"),
        ("balls = 45", "balls = 0", "balls"),
        ("balls = 45", "balls = -45", "balls"),
        ("balls = 45", "balls = 45.0", "balls"),
        ("balls = 45", 'balls = "45"', "balls"),
        ("balls = 45", "balls = nan", "balls"),
        ("balls = 45", "balls = 32", "block"),
        ("minutes = 50", "minutes = 18", "minutes"),
        ("minutes = 50", "minutes = 50\ncolour = 3", "colour"),
        ('"6 mph"', '"6 yd"', "wind.along_at_least"),
        ('"6 mph"', '"6"', "wind.along_at_least"),
        ('"6 mph"', "6", "wind.along_at_least"),
        ('"6 mph"', '"300 mph"', "wind.along_at_least"),
        ('"6 mph"', '"-6 mph"', "wind.along_at_least"),
        ('{ along_at_least = "6 mph" }', '"windy"', "wind"),
        ('{ along_at_least = "6 mph" }', "{}", "wind"),
        ('{ along_at_least = "6 mph" }', '{ along_at_least = "6 mph", speed_at_most = "5 mph" }', "wind"),
        ('{ along_at_least = "6 mph" }', '{ along_at_least = "30m/s", across_at_least = "30m/s" }', "wind"),
        ('{ along_at_least = "6 mph" }', '{ speed_at_least = "9 mph", gust_at_most = "8 mph" }', "wind"),
        ('{ along_at_least = "6 mph" }', '{ from = "west" }', "wind.from"),
        ('{ along_at_least = "6 mph" }', '{ quarter = "into" }', "wind.quarter"),
        ('"club-down ladder"', '"club down"', "block[1].drill"),
        ('"8 iron",\n', '"8 irun",\n', "block[1].clubs[1]"),
        ('"7 iron",  # a longer one', '"8i",', "block[1].clubs"),
        ('fit = "grip-down, swing"', 'fit = "harder"', "block[1].fit"),
        ('"stock carry of 8 iron"', '"stock carry of umbrella"', "block[1].target"),
        ('"stock carry of 8 iron"', '"140"', "block[1].target"),
        ('"stock carry of 8 iron"', '"900 yd"', "block[1].target"),
        ('"stock carry of 8 iron"', '"14 mph"', "block[1].target"),
        ('"step"', '"warm-up"', "block[1].stage"),
        ('"8 %"', '"8 yd"', "block[1].aim.at_most"),
        ('"8 %"', '"-8 %"', "block[1].aim.at_most"),
        ('at_most = "8 %", ', "", "block[1].aim"),
        ('at_most = "8 %"', 'at_most = "8 %", at_least = "1 %"', "block[1].aim"),
        ('"median error"', '"luck"', "block[1].aim.measure"),
        ("over_sessions = 2", "over_sessions = 0", "block[1].aim.over_sessions"),
        ('drill = "grip-down steps"\n', "", "block[2].drill"),
        ('clubs = ["7 iron"]', "clubs = []", "block[2].clubs"),
        ('clubs = ["7 iron"]', 'clubs = "7 iron"', "block[2].clubs"),
        ('["0 in", "1 in", "2 in"]', '["0 in"]', "block[2].grip_down"),
        ('["0 in", "1 in", "2 in"]', '["0 in", "9 in"]', "block[2].grip_down[2]"),
        ('["three-quarter"]', '["lazy"]', "block[2].swing[1]"),
        ("balls = 18", "balls = 0", "block[2].balls"),
        ("[levels.junior]", "[levels.toddler]", "levels.toddler"),
        ("balls = 30", "balls = 1", "levels"),
        ("minutes = 35", "minutes = 3", "levels"),
    ],
)
def test_one_error_names_file_line_and_key(old: str, new: str, key: str) -> None:
    text = broken(old, new)
    found = errors(text)
    assert len(found) == 1
    place = re.fullmatch(r"evening\.toml:(\d+): ([^:]+): (.+), (.+)", found[0])
    assert place, found[0]
    assert place[2] == key
    assert 1 <= int(place[1]) <= text.count("\n")


@pytest.mark.parametrize(
    ("old", "new", "line_part"),
    [
        ("balls = 18", "bals = 18", "bals = 18"),
        ('stage = "step"', 'stage = "stop"', 'stage = "stop"'),
        ("over_sessions = 2", "over_sessions = 0", "over_sessions = 0"),
        ('"8 iron",\n', '"8 irun",\n', "clubs = ["),
        ('swing = ["three-quarter"]', 'swing = ["x"]', 'swing = ["x"]'),
        ("minutes = 35", "minute = 35", "minute = 35"),
    ],
)
def test_the_line_is_the_key_s(old: str, new: str, line_part: str) -> None:
    text = broken(old, new)
    places = {int(line.split(":")[1]) for line in errors(text)}
    assert line_with(text, line_part) in places


def test_all_errors_are_told_at_once_in_the_order_of_the_file() -> None:
    text = GOOD.replace("balls = 45", "balls = 20").replace('"step"', '"stop"').replace("balls = 18", "bals = 18")
    text = text.replace('"8 %"', '"8 yd"').replace('"6 mph"', '"6"').replace('level = "club"', 'level = "tour"')
    found = errors(text)
    keys = [line.split(": ")[1] for line in found]
    assert set(keys) >= {"level", "wind.along_at_least", "block[1].stage", "block[1].aim.at_most", "block[2].bals"}
    assert "block[2].balls" in keys
    lines = [int(line.split(":")[1]) for line in found]
    assert lines == sorted(lines)


def test_too_many_balls_are_told_beside_another_error_in_a_block() -> None:
    text = GOOD.replace("balls = 45", "balls = 20").replace('"step"', '"stop"')
    assert {line.split(": ")[1] for line in errors(text)} == {"block", "block[1].stage"}


def test_a_newer_format_is_the_only_thing_said() -> None:
    (line,) = errors(GOOD.replace("format = 1", "format = 7").replace("drill", "exercise"))
    assert "newer" in line


def test_missing_keys_and_blocks() -> None:
    keys = [line.split(": ")[1] for line in errors("")]
    assert keys == ["format", "id", "title", "level", "balls", "minutes", "block"]


def test_a_plan_cannot_extend_itself() -> None:
    (line,) = errors('extends = "first-windy-evening"\n' + GOOD)
    assert ": extends: " in line


def test_a_gate_against_the_drill_s_own_need() -> None:
    calm = broken('{ along_at_least = "6 mph" }', '{ speed_at_most = "3 mph" }')
    (line,) = errors(calm.replace('"grip-down steps"', '"aim-off test"'))
    assert ": block: " in line


HOSTILE = {
    "arrays": "x = " + "[" * 1900,
    "arrays over lines": "x = [\n" + "[\n" * 60_000,
    "tables": "x = " + "{a=" * 600,
    "dots": "a." * 60_000 + "b = 1",
    "dots, many short lines": "\n".join(f"{'.'.join('abcdefgh' * 100)}{number} = 1" for number in range(100)),
    "a huge number": "balls = " + "9" * 1900,
    "large": "# " + "x\n# " * LARGEST_BYTES,
    "control characters": 'format = 1\n"a\\u001b[31m\\nb" = 2',
    "not TOML": "first windy evening: 45 balls",
    "open string": 'id = "abc',
    "NUL": "a = 1\0",
    "twice": "format = 1\nformat = 1",
    "a date that is none": "due = 2026-02-31",
    "blocks": "[[block]]\n" * 5000,
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_text_is_refused_in_printable_lines(text: str) -> None:
    for line in errors(text):
        assert line.isprintable()
        assert len(line) < 500
        assert re.match(r"evening\.toml:\d+: ", line)


@pytest.mark.parametrize("name", ["arrays", "dots", "large", "not TOML", "open string", "twice"])
def test_what_is_no_toml_gives_one_line(name: str) -> None:
    assert len(errors(HOSTILE[name])) == 1


def test_a_syntax_error_carries_its_line() -> None:
    text = broken("balls = 18", "balls = = 18")
    assert errors(text)[0].startswith(f"evening.toml:{line_with(text, 'balls = =')}: TOML: ")


@settings(max_examples=examples(60), suppress_health_check=[HealthCheck.too_slow])
@given(st.text(max_size=200))
def test_any_text_is_a_plan_or_a_list_of_lines(text: str) -> None:
    assert all(line.isprintable() for line in errors(text))


@settings(max_examples=examples(80), deadline=None)
@given(st.data())
def test_a_plan_with_a_piece_cut_out_never_fails_otherwise(data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(GOOD)))
    end = data.draw(st.integers(start, len(GOOD)))
    with contextlib.suppress(PlanErrors):
        read_plan(GOOD[:start] + GOOD[end:], "evening.toml")


@settings(max_examples=examples(150), deadline=None)
@given(plans)
def test_plan_to_toml_to_plan_is_the_identity(plan: Plan) -> None:
    assert read_plan(plan_to_toml(plan), "written.toml") == plan


@settings(max_examples=examples(80), deadline=None)
@given(plans, st.data())
def test_the_line_of_every_written_key_holds_it(plan: Plan, data: st.DataObject) -> None:
    text = plan_to_toml(plan)
    lines = text.split("\n")
    found = key_lines(text)
    raw = tomllib.loads(text)
    for number, block in enumerate(raw["block"]):
        for key in block:
            line = lines[line_of(("block", number, key), found) - 1]
            assert line.startswith((f"{key} = ", f"[block.{key}]"))
    key = data.draw(st.sampled_from(sorted(raw["block"][-1])))
    assert line_of(("block", len(raw["block"]) - 1, key, 0, "x"), found) == line_of(
        ("block", len(raw["block"]) - 1, key), found
    )


def test_plans_are_frozen() -> None:
    plan = read_plan(GOOD, "evening.toml")
    with pytest.raises(ValidationError):
        setattr(plan, "balls", 3)  # noqa: B010 - mypy would refuse the plain assignment too
    assert hash(plan.block[0]) == hash(read_plan(GOOD, "again.toml").block[0])


def test_carriage_returns_and_a_byte_order_mark_are_taken(tmp_path: Path) -> None:
    path = tmp_path / "dos.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert load_plan(path).block == read_plan(GOOD, "x").block


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"# " + b"x" * LARGEST_BYTES])
def test_files_that_are_no_text_or_too_large(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_bytes(content)
    with pytest.raises(PlanErrors) as caught:
        load_plan(path)
    assert len(caught.value.lines) == 1


@pytest.mark.parametrize("name", ["missing.toml", ".", "a\0b"])
def test_paths_that_cannot_be_read(name: str, tmp_path: Path) -> None:
    with pytest.raises(PlanErrors):
        load_plan(f"{tmp_path}/{name}")


def test_plan_errors_are_input_errors_of_one_line() -> None:
    with pytest.raises(InputError) as caught:
        read_plan("", "empty.toml")
    assert "\n" not in str(caught.value)
