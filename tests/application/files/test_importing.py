"""The way a screen imports: open, answer, look, keep; told its progress, called off without a trace."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from tests.store.samples import PROFILE
from trainer.application.conditions.stated import StatedConditions
from trainer.application.files.importing import TELL_EVERY, Stopped, Work, keep_shots, read_shots
from trainer.application.files.table_opening import Answers, OpenedTable, answered, open_shots, remember_columns
from trainer.core.errors import InputError
from trainer.exchange.table_words import Field, SideSign
from trainer.store.store import Store, open_store

NOW = datetime(2026, 5, 14, 18, 30)
STATED = StatedConditions()


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "data" / "store.db", write=True) as opened:
        opened.save_profile(PROFILE, NOW)
        yield opened


def _opened(text: str, answers: Answers | None = None, maps: Path | None = None) -> OpenedTable:
    return open_shots(text.encode(), "t.csv", None, answers or Answers(), PROFILE.alias, maps)


def _long(rows: int) -> str:
    return "Club,Carry (m)\n" + "".join(f"7i,{100 + number % 50}.{number % 10}\n" for number in range(rows))


def test_a_proposal_has_columns_with_samples_and_the_open_questions() -> None:
    opened = _opened("Club,Carry,Side (m)\n7i,130,2\n")
    carry = opened.columns.column(Field.CARRY)
    assert carry is not None
    assert (carry.sample, carry.unit) == ("130", None)
    assert [question.key for question in opened.open_questions] == ["columns.carry.unit", "side_positive"]
    answered_once = answered(opened, "side_positive", "left")
    assert answered_once.columns.side_positive is SideSign.LEFT
    assert answered(answered_once, "columns.carry.unit", "m").open_questions == ()


@pytest.mark.parametrize(
    ("key", "word"), [("side_positive", "up"), ("carry_is", "seen"), ("columns.carry.unit", "mph")]
)
def test_what_is_no_answer_is_refused(key: str, word: str) -> None:
    with pytest.raises(InputError):
        answered(_opened("Club,Carry,Side (m)\n7i,130,2\n"), key, word)


def test_two_columns_that_fit_alike_are_settled_by_name() -> None:
    opened = _opened("Club,Carry (m),Spin (rpm),Spin rate (rpm)\n7i,130,5000,6000\n")
    (question,) = opened.open_questions
    settled = answered(opened, question.key, "Spin rate (rpm)")
    assert settled.open_questions == ()
    column = settled.columns.column(Field.SPIN)
    assert column is not None
    assert column.header == "Spin rate (rpm)"


def test_a_table_in_words_that_are_not_known_is_asked_through() -> None:
    opened = _opened("Eisen;Weite [m];Breite\n7i;130,5;2 L\n8i;120;3 R\n")
    assert [question.key for question in opened.open_questions] == ["columns.club.header", "columns.carry.header"]
    assert opened.open_questions[0].choices == ("Eisen", "Weite [m]", "Breite")
    settled = answered(answered(opened, "columns.club.header", "Eisen"), "columns.carry.header", "Weite [m]")
    assert settled.open_questions == ()
    carry = settled.columns.column(Field.CARRY)
    assert carry is not None
    assert (carry.header, carry.unit, carry.sample) == ("Weite [m]", "m", "130,5")


def test_a_look_keeps_nothing_and_shows_the_first_shots(store: Store) -> None:
    opened, player = _opened(_long(30)), store.player()
    read = read_shots(store, opened, player, STATED, NOW)
    assert (read.rows, read.taken, len(read.first_shots)) == (30, 30, 10)
    assert store.shots() == ()
    keep_shots(store, player, opened, read, STATED, NOW)
    assert len(store.shots()) == 30


def test_progress_is_told_from_the_first_rows_to_the_last(store: Store) -> None:
    opened, player, told = _opened(_long(3 * TELL_EVERY)), store.player(), list[tuple[int, int]]()
    work = Work(progress=lambda done, rows: told.append((done, rows)))
    read = read_shots(store, opened, player, STATED, NOW, work)
    keep_shots(store, player, opened, read, STATED, NOW, work)
    steps = [(TELL_EVERY * number, 3 * TELL_EVERY) for number in (1, 2, 3)]
    assert told == [*steps, *steps]


@pytest.mark.parametrize("after", [1, 2])
def test_called_off_nothing_is_kept(store: Store, after: int) -> None:
    opened, player = _opened(_long(3 * TELL_EVERY)), store.player()
    read = read_shots(store, opened, player, STATED, NOW)
    asked: list[None] = []

    def cancelled() -> bool:
        asked.append(None)
        return len(asked) >= after

    with pytest.raises(Stopped):
        keep_shots(store, player, opened, read, STATED, NOW, Work(cancelled=cancelled))
    assert store.shots() == ()
    assert store.imports(player.id) == ()
    assert store.sessions(player.id) == ()


def test_a_remembered_map_is_found_by_the_shape_and_only_by_it(tmp_path: Path) -> None:
    maps = tmp_path / "maps"
    opened = answered(_opened("Club,Carry (m),Side (m)\n7i,130,2\n"), "side_positive", "left")
    remember_columns(opened, maps)
    again = _opened("CLUB;carry (m);side (m)\n8i;120;-1\n", maps=maps)
    assert (again.remembered, again.open_questions) == (True, ())
    assert again.columns.side_positive is SideSign.LEFT
    other = _opened("Club,Carry (yd),Side (m)\n7i,130,2\n", maps=maps)
    assert not other.remembered
    changed = answered(_opened("Club,Carry (m),Side (m)\n7i,130,2\n"), "side_positive", "right")
    remember_columns(changed, maps)
    assert _opened("Club,Carry (m),Side (m)\n7i,1,2\n", maps=maps).columns.side_positive is SideSign.RIGHT


def test_raw_rows_are_kept_those_refused_too(store: Store) -> None:
    text = "Club,Carry (m)\n7i,130\nspoon,140\nAverage,135\n"
    opened, player = _opened(text), store.player()
    read = read_shots(store, opened, player, STATED, NOW)
    import_id = keep_shots(store, player, opened, read, STATED, NOW)
    assert store.raw_rows(import_id) == ((2, "7i,130"), (3, "spoon,140"), (4, "Average,135"))
    (record,) = store.imports(player.id)
    assert (record.rows, record.shots) == (3, 1)
