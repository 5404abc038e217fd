"""The making of mutants: each is another program, and the choice of them is repeatable."""

from __future__ import annotations

import ast

import pytest

from tests.mutation.mutants import mutants, mutated
from tests.mutation.running import chosen, modules_of, own_tests

SOURCE = '''
"""Not this 1 + 1."""
LIMIT: "1 | 2" = 2

@cached(3)
def clipped(value: int | None, low: float = 0.5) -> float | None:
    if not value or value < low and value > -1:
        raise ValueError(f"{value + 1}", 4)
    value += 1
    return value * low
'''


def changes(source: str) -> set[tuple[str, str]]:
    return {(each.before, each.after) for each in mutants(source)}


def test_every_kind_of_place_is_found() -> None:
    found = changes(SOURCE)
    assert {("2", "3"), ("0.5", "0.55"), ("value < low", "value <= low"), ("value > -1", "value >= -1")} <= found
    assert {("not value", "value"), ("-1", "1"), ("value += 1", "value -= 1")} <= found
    assert {("value * low", "value / low"), ("return value * low", "return None")} <= found
    assert ("value < low and value > -1", "value < low or value > -1") in found


def test_words_types_decorators_and_messages_are_left_alone() -> None:
    assert not {before for before, _ in changes(SOURCE)} & {"3", "4", "value + 1", "int | None", "float | None"}


@pytest.mark.parametrize("number", range(len(mutants(SOURCE))))
def test_each_is_another_program(number: int) -> None:
    other = mutated(SOURCE, number)
    assert ast.dump(ast.parse(other)) != ast.dump(ast.parse(SOURCE))


def test_the_choice_is_repeatable_and_spread() -> None:
    first, again = (chosen(["flight", "units"], 40, 3) for _ in range(2))
    assert first == again
    assert len({module for module, _ in first}) > 5
    assert chosen(["flight", "units"], 40, 4) != first


def test_a_module_is_held_against_its_own_folder() -> None:
    (module,) = modules_of("flight/wind")
    tests = own_tests(module)
    assert tests[0] == "tests/core/flight/test_wind.py"
    assert len(tests) > 5
    assert own_tests(modules_of("units")[0]) == ["tests/core/test_units.py"]


def test_an_unknown_part_is_refused() -> None:
    with pytest.raises(SystemExit, match="no such folder"):
        modules_of("no such part")
