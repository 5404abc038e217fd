"""The words of the command line, and the four exit codes."""

from __future__ import annotations

import pytest

from tests.cli.program import Program
from trainer.cli.words import UsageError, order_words
from trainer.core.errors import InputError


def test_options_that_stand_anywhere_are_taken_out() -> None:
    words = order_words(["--json", "gaps", "--store", "a.db", "--all", "--player=kim"])
    assert (words.rest, words.json, words.store, words.player) == (("gaps", "--all"), True, "a.db", "kim")


@pytest.mark.parametrize("value", ["-4yd", "-4", "−2.5m", "-.5yd"])
def test_a_value_may_begin_with_a_minus(value: str) -> None:
    assert order_words(["choose", "150yd", "--slope", value]).rest == ("choose", "150yd", f"--slope={value}")


def test_a_lone_minus_is_a_word() -> None:
    assert order_words(["shots", "correct", "3", "-"]).rest == ("shots", "correct", "3", "-")


def test_an_option_without_its_value_is_a_wrong_word() -> None:
    with pytest.raises(UsageError):
        order_words(["gaps", "--store"])


def test_an_empty_value_is_a_wrong_value() -> None:
    with pytest.raises(InputError):
        order_words(["gaps", "--store="])


@pytest.mark.parametrize("words", [["no-such"], ["gaps", "--no-such"], ["flight"], ["plan"], ["plan", "check"]])
def test_wrong_words_end_with_2(program: Program, words: list[str]) -> None:
    program(*words).refused(2)


def test_nothing_is_abbreviated(player: Program) -> None:
    player("gaps", "--al").refused(2)


def test_json_may_stand_before_or_after(player: Program) -> None:
    assert player("--json", "gaps").data == player("gaps", "--json").data


def test_a_store_that_is_none_ends_with_3(program: Program) -> None:
    program.store.parent.mkdir()
    program.store.write_text("this is no database, whatever its name says\n" * 40)
    before = program.store.read_bytes()
    for command in (["gaps"], ["record"], ["shots"], ["doctor"], ["backup", "b.db"]):
        assert str(program.store) in program(*command, typed="7 iron: 140\n").refused(3)
    assert program.store.read_bytes() == before


def test_without_a_store_the_remedy_is_set_up(program: Program) -> None:
    assert "trainer setup" in program("gaps").refused(3)
    assert not program.store.exists()


def test_without_a_command_the_summary_is_printed(player: Program) -> None:
    player.lines("7 iron: 140")
    assert "1 shot in 1 session" in player().out
    assert player("--json").data["players"][0]["shots"] == 1


def test_names_cannot_steer_a_terminal(program: Program) -> None:
    result = program("setup", "--from-carry", "7 iron=150yd", "--player", "a\x1b[31mb")
    assert "\x1b" not in result.out + result.err
