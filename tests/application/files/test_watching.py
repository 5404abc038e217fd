"""A table that grows while a session runs: each complete row once, matched to the agenda's ball."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.store.samples import PROFILE
from trainer.application.conditions.stated import StatedConditions
from trainer.application.files.table_opening import Answers, OpenedTable
from trainer.application.files.watching import Match, Replies, Waiting, Watch, run_watch, watch
from trainer.application.session.recording import Recorder, begin, resume
from trainer.core.bag import Cell, Swing
from trainer.core.errors import InputError
from trainer.exchange.table_text import file_sha256
from trainer.exchange.table_words import SideSign
from trainer.store.records import NewBall, ShotRecord, Source
from trainer.store.store import Store, open_store

NOW = datetime(2026, 5, 14, 18, 30)
HEADER = "Club,Carry (m),Side (m)\n"
RIGHT = Answers(side_positive=SideSign.RIGHT)
LOW = Cell("7 iron", 0.0254, Swing.THREE_QUARTER)


def _ball(number: int, cell: Cell) -> NewBall:
    return NewBall(number, "grip-down steps", cell, "step", "widest interval", 120.0)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "data" / "store.db", write=True) as opened:
        opened.save_profile(PROFILE, NOW)
        yield opened


@pytest.fixture
def recorder(store: Store) -> Recorder:
    return begin(store, None, StatedConditions(), NOW)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    found = tmp_path / "live.csv"
    found.write_text(HEADER)
    return found


def grow(path: Path, text: str) -> None:
    with path.open("a") as file:
        file.write(text)


@dataclass
class Taken:
    """All that was kept and left, in order."""

    kept: list[float | None] = field(default_factory=list)
    left: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)


def take_all(watched: Watch, decide: Callable[[Match], Match | None] = lambda match: match) -> Taken:
    """One look, every row settled."""
    taken = Taken()
    look = watched.follower.look()
    taken.said += look.said
    assert look.opened is None or look.opened.open_questions == ()
    watched.take_in(look)
    while (match := watched.next(NOW)) is not None:
        chosen = None if match.cell is None else decide(match)
        if chosen is None:
            watched.leave(match)
            taken.left.append(match.why)
        else:
            taken.kept.append(watched.keep(chosen).entry.carry_m)
    return taken


def test_each_complete_row_is_kept_once(store: Store, recorder: Recorder, path: Path) -> None:
    watched = watch(store, recorder, path, answers=RIGHT)
    assert take_all(watched) == Taken()
    grow(path, "7 iron,130,2\n7 iron,131,-3\n7 iron,13")
    assert take_all(watched).kept == [130.0, 131.0]
    assert take_all(watched) == Taken()
    assert watched.follower.unfinished()
    grow(path, "2,0\n")
    assert take_all(watched).kept == [132.0]
    shots = store.shots(recorder.session.id)
    assert [shot.entry.side_m for shot in shots] == [2.0, -3.0, 0.0]
    assert {(shot.source, shot.import_id, shot.reading_id) for shot in shots} == {
        (Source.TABLE, watched.import_id, recorder.reading.id if recorder.reading else None)
    }
    raw = [text for _, text in store.raw_rows(watched.import_id or 0)]
    assert raw == ["7 iron,130,2", "7 iron,131,-3", "7 iron,132,0"]


def test_a_row_is_the_agendas_next_ball_where_the_club_is_the_same(
    store: Store, recorder: Recorder, path: Path
) -> None:
    store.put_agenda(recorder.session.id, [_ball(1, LOW), _ball(2, Cell("8 iron")), _ball(3, LOW)])
    grow(path, "7i,118,1\n7i,119,1\n8i,125,0\n")
    watched = watch(store, recorder, path, answers=RIGHT)
    doubts: list[str] = []

    def decide(match: Match) -> Match:
        doubts.append(match.doubt)
        return match

    assert take_all(watched, decide).kept == [118.0, 119.0, 125.0]
    shots = store.shots(recorder.session.id)
    assert [(shot.cell, shot.agenda_number, shot.target_m) for shot in shots] == [
        (LOW, 1, 120.0),
        (Cell("7 iron"), None, None),
        (Cell("8 iron"), 2, 120.0),
    ]
    assert [bool(doubt) for doubt in doubts] == [False, True, False]
    assert store.next_ball(recorder.session.id) is not None


def test_the_player_may_say_that_the_file_has_the_wrong_club(store: Store, recorder: Recorder, path: Path) -> None:
    store.put_agenda(recorder.session.id, [_ball(1, LOW)])
    grow(path, "8i,118,1\n")
    take_all(watch(store, recorder, path, answers=RIGHT), lambda match: match.as_next_ball())
    (shot,) = store.shots(recorder.session.id)
    assert (shot.cell, shot.agenda_number) == (LOW, 1)


def test_rows_that_are_no_shot_or_not_confirmed_are_passed_over_for_good(
    store: Store, recorder: Recorder, path: Path
) -> None:
    grow(path, "7 iron,130,2\nspoon,130,2\n7 iron,900,2\n7 iron,131,2\n")
    watched = watch(store, recorder, path, answers=RIGHT)
    taken = take_all(watched, lambda match: None if match.number == 5 else match)
    assert (taken.kept, len(taken.left)) == ([130.0], 3)
    again = watch(store, resume(store, None, recorder.session.id), path, answers=RIGHT)
    assert take_all(again) == Taken()


def test_a_watch_taken_up_again_goes_on_where_it_stopped(store: Store, recorder: Recorder, path: Path) -> None:
    grow(path, "7 iron,130,2\n7 iron,130,2\n")
    first = watch(store, recorder, path, answers=RIGHT)
    take_all(first)
    grow(path, "7 iron,130,2\n")
    second = watch(store, resume(store, None, recorder.session.id), path, answers=RIGHT)
    assert take_all(second).kept == [130.0]
    assert second.import_id == first.import_id
    assert len(store.shots(recorder.session.id)) == 3


def test_the_next_session_does_not_take_the_rows_of_the_last(store: Store, recorder: Recorder, path: Path) -> None:
    grow(path, "7 iron,130,2\n")
    take_all(watch(store, recorder, path, answers=RIGHT))
    grow(path, "7 iron,131,2\n")
    later = begin(store, None, StatedConditions(), NOW + timedelta(days=1))
    watched = watch(store, later, path, answers=RIGHT)
    assert take_all(watched).kept == [131.0]
    grow(path, "7 iron,132,2\n")
    once_more = watch(store, resume(store, None, later.session.id), path, answers=RIGHT)
    assert take_all(once_more).kept == [132.0]


@pytest.mark.parametrize(
    ("content", "kept", "said"),
    [
        ("7 iron,130,2\n", [], True),  # cut short
        ("7 iron,130,2\n7 iron,131,2\n7 iron,133,2\n", [133.0], False),  # written anew with one more
        ("7 iron,131,2\n7 iron,130,2\n7 iron,133,2\n", [133.0], True),  # sorted otherwise
        ("8 iron,99,2\n", [99.0], True),  # another file
    ],
)
def test_a_file_cut_short_or_replaced_is_said_and_nothing_is_taken_twice(
    store: Store, recorder: Recorder, path: Path, content: str, kept: list[float], said: bool
) -> None:
    grow(path, "7 iron,130,2\n7 iron,131,2\n")
    watched = watch(store, recorder, path, answers=RIGHT)
    take_all(watched)
    path.write_text(HEADER + content)
    taken = take_all(watched)
    assert (taken.kept, bool(taken.said)) == (kept, said)
    grow(path, "7 iron,140,2\n")
    assert take_all(watched).kept == [140.0]
    again = watch(store, resume(store, None, recorder.session.id), path, answers=RIGHT)
    assert take_all(again).kept == []


def test_rows_from_before_the_session_are_not_its_balls(store: Store, recorder: Recorder, tmp_path: Path) -> None:
    path = tmp_path / "timed.csv"
    path.write_text("Time,Club,Carry (m)\n2026-05-14 17:00:00,7 iron,130\n2026-05-14 18:31:05,7 iron,131\n")
    taken = take_all(watch(store, recorder, path))
    assert (taken.kept, len(taken.left)) == ([131.0], 1)


def test_an_open_question_holds_the_rows_back_until_it_is_answered(
    store: Store, recorder: Recorder, path: Path
) -> None:
    grow(path, "7 iron,130,2\n")
    watched = watch(store, recorder, path)
    look = watched.follower.look()
    assert look.opened is not None
    assert [question.key for question in look.opened.open_questions] == ["side_positive"]
    assert look.rows == ()
    watched.follower.answer("side_positive", "left")
    take_all(watched)
    assert [shot.entry.side_m for shot in store.shots(recorder.session.id)] == [-2.0]


def test_a_decimal_comma_that_shows_late_ends_the_watch(store: Store, recorder: Recorder, path: Path) -> None:
    grow(path, '7 iron,"130",2\n')
    watched = watch(store, recorder, path, answers=RIGHT)
    take_all(watched)
    grow(path, '7 iron,"130,5",2\n')
    with pytest.raises(InputError, match="comma"):
        watched.follower.look()


def test_a_watched_file_is_not_imported_again_whole(store: Store, recorder: Recorder, path: Path) -> None:
    grow(path, "7 iron,130,2\n7 iron,131,2\n")
    take_all(watch(store, recorder, path, answers=RIGHT))
    assert store.import_by_hash(recorder.session.player_id, file_sha256(path.read_bytes())) is not None


def test_a_watched_import_is_undone_whole(store: Store, recorder: Recorder, path: Path) -> None:
    store.put_agenda(recorder.session.id, [_ball(1, LOW)])
    grow(path, "7 iron,130,2\n7 iron,131,2\n")
    watched = watch(store, recorder, path, answers=RIGHT)
    take_all(watched)
    store.undo_import(watched.import_id or 0, NOW)
    assert store.shots(recorder.session.id) == ()
    assert store.next_ball(recorder.session.id) is not None
    assert [session.id for session in store.sessions(recorder.session.player_id)] == [recorder.session.id]


class _DeathError(Exception):
    """The program is gone."""


def _replies(taken: list[float | None], dies_after: int | None = None) -> Replies:
    def kept(match: Match, shot: ShotRecord) -> None:
        taken.append(shot.entry.carry_m)
        if dies_after is not None and len(taken) == dies_after:
            raise _DeathError

    def ask(opened: OpenedTable, answer: Callable[[str, str], OpenedTable]) -> bool:
        answer(opened.open_questions[0].key, "right")
        return True

    return Replies(ask, lambda match: match, kept, lambda match: None, lambda line: None)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16-le"])
def test_a_file_written_in_another_thread_is_kept_whole_through_a_death_between_rows(
    store: Store, recorder: Recorder, tmp_path: Path, encoding: str
) -> None:
    """The writer writes piece by piece, never in whole lines; the watcher dies and is begun anew."""
    path, count = tmp_path / "thread.csv", 40
    text = HEADER + "".join(f"7 iron,{100 + number},1\n" for number in range(count))
    data = text.encode(encoding)

    def write() -> None:
        for start in range(0, len(data), 37):
            with path.open("ab") as file:
                file.write(data[start : start + 37])
            time.sleep(0.001)

    writer = threading.Thread(target=write)
    writer.start()
    taken: list[float | None] = []
    waiting = Waiting(datetime.now, time.sleep, 0.001, stopped=lambda: len(taken) == count)
    deadline = time.monotonic() + 30
    try:
        for dies_after in (1, 2, 9, 30, None):
            session = resume(store, None, recorder.session.id)
            with_death = _replies(taken, dies_after)
            try:
                run_watch(watch(store, session, path), waiting, with_death)
            except _DeathError:
                assert time.monotonic() < deadline
    finally:
        writer.join()
    assert taken == [100.0 + number for number in range(count)]
    assert [shot.entry.carry_m for shot in store.shots(recorder.session.id)] == taken


def test_a_watch_ends_when_nothing_was_new_for_long_enough(store: Store, recorder: Recorder, path: Path) -> None:
    grow(path, "7 iron,130,2\n")
    moments = iter(NOW + timedelta(seconds=seconds) for seconds in range(1000))
    slept: list[float] = []
    waiting = Waiting(lambda: next(moments), slept.append, 2.0, timedelta(seconds=20))
    taken: list[float | None] = []
    run_watch(watch(store, recorder, path), waiting, _replies(taken))
    assert taken == [130.0]
    assert set(slept) == {2.0}
    assert len(slept) < 30
