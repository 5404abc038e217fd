"""A group's evening in the store: whose session, which wind, nothing twice, nothing in silence."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.examples import examples
from trainer.application.conditions.stated import StatedConditions
from trainer.application.group.desk import GroupDesk
from trainer.application.group.evening import GroupReader, GroupSession, LineDone
from trainer.application.group.grid import GroupGrid
from trainer.application.practice import Practice
from trainer.application.setup.proposed_bag import propose_bag
from trainer.application.views.group import GroupAnswers
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import Ball, Seen, Wind, WindKnowledge
from trainer.core.errors import InputError, StoreError
from trainer.core.profile import CarryBasis, KnownCarry, Profile
from trainer.core.shot import Depth, ShotEntry, Width
from trainer.core.units import to_si
from trainer.exchange.group_text import MARKS, Station
from trainer.store import shots as shots_table
from trainer.store.store import Store, open_store

WHEN = datetime(2026, 5, 14, 18, 30)
LATER = WHEN + timedelta(hours=2)
PIN = ShotEntry(depth=Depth.PIN, width=Width.STRAIGHT)
STATION = Station(Cell("7 iron", 0.0, Swing.THREE_QUARTER), to_si(120, "yd"))
PLAYERS = ("kestrel", "heron", "dunlin")
BREEZE = Wind(WindKnowledge.READ, 6.0, 0.5)
KNOWN = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.REMEMBERED)
PROFILE = Profile("kestrel", propose_bag(KNOWN), KNOWN, seen=Seen.DEVICE, ball=Ball.RANGE)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "store.db", write=True) as opened:
        for alias in PLAYERS:
            opened.save_profile(replace(PROFILE, alias=alias), WHEN - timedelta(days=1))
        yield opened


def read(store: Store, text: str, stated: StatedConditions | None = None) -> list[LineDone]:
    return list(GroupReader(store, stated or StatedConditions()).lines(text.splitlines()))


def why(lines: list[LineDone]) -> dict[int, str]:
    return {line.number: line.why for line in lines if line.why}


def marks(store: Store, alias: str) -> list[ShotEntry]:
    return [shot.entry for shot in store.shots(player_id=store.player(alias).id)]


EVENING = """when 2026-05-14T18:30
wind 12mph 1h
station 1: 7 iron, three-quarter, 120yd
kestrel: 5 5 2 x
heron: 8-4
wind 18:50 14mph 1h
Kestrel, 9 iron, half, 80yd 10deg: 5*3
dunlin:
"""


def test_each_players_balls_are_in_a_session_of_his_own(store: Store) -> None:
    lines = read(store, EVENING)
    assert why(lines) == {}
    assert [line.unfilled for line in lines].count(True) == 1
    player = store.player("kestrel")
    (session,) = store.sessions(player.id)
    assert session.started_at == WHEN
    shots = store.shots(session.id)
    assert [shot.entry for shot in shots][:4] == [PIN, PIN, MARKS["2"], ShotEntry(mishit=True)]
    assert {shot.target_m for shot in shots[:4]} == {STATION.target_m}
    assert {shot.cell for shot in shots[:4]} == {STATION.cell}
    assert {shot.seen for shot in shots} == {Seen.EYE}
    assert {shot.ball for shot in shots} == {Ball.RANGE}
    assert shots[-1].target_bearing_rad == pytest.approx(to_si(10, "deg"))
    assert store.sessions(store.player("dunlin").id) == ()


def test_the_one_wind_log_is_copied_with_its_times(store: Store) -> None:
    read(store, EVENING)
    kestrel, heron = (store.readings(player_id=store.player(alias).id) for alias in ("kestrel", "heron"))
    told = [reading for reading in kestrel if reading.wind.knowledge is WindKnowledge.READ]
    assert [reading.at for reading in told] == [WHEN, WHEN.replace(minute=50)]
    by_id = {reading.id: reading.wind.speed_mps for reading in told}
    speeds = [by_id[shot.reading_id or 0] for shot in store.shots(told[0].session_id)]
    assert speeds == [to_si(12, "mph")] * 4 + [to_si(14, "mph")] * 3
    assert [reading.wind.speed_mps for reading in heron if reading.wind.speed_mps] == [to_si(12, "mph")]


def test_the_same_file_again_keeps_nothing_twice(store: Store) -> None:
    read(store, EVENING)
    before = store.shots(), store.readings()
    again = read(store, EVENING)
    assert [line.added.already for line in again if line.added is not None] == [4, 3, 3]
    assert (store.shots(), store.readings()) == before


def test_a_mended_file_keeps_what_was_refused(store: Store) -> None:
    broken = EVENING.replace("heron: 8-4", "heron: 8a4")
    assert list(why(read(store, broken))) == [5]
    assert marks(store, "heron") == []
    read(store, EVENING + "kestrel, 7 iron, three-quarter, 120yd: 1 1\n")
    assert marks(store, "heron") == [MARKS["8"], MARKS["-"], MARKS["4"]]
    assert marks(store, "kestrel") == [PIN, PIN, MARKS["2"], MARKS["0"], PIN, PIN, PIN, MARKS["1"], MARKS["1"]]


def test_an_evening_that_is_named_again_goes_on(store: Store) -> None:
    head = "when 2026-05-14T18:30\n"
    balls = "kestrel, 7 iron, 120yd: 5\n"
    text = f"{head}{balls}when 2026-05-15T18:30\n{balls}{head}{balls}"
    for _ in range(2):
        assert why(read(store, text)) == {}
        sessions = store.sessions(store.player("kestrel").id)
        assert [len(store.shots(session.id)) for session in sessions] == [2, 1]


def test_other_balls_than_those_kept_are_refused(store: Store) -> None:
    read(store, EVENING)
    assert list(why(read(store, EVENING.replace("5 5 2 x", "5 5 3 x")))) == [4]
    assert list(why(read(store, EVENING.replace("5 5 2 x", "5 5 2 x 5")))) == [4]
    assert len(marks(store, "kestrel")) == 7


@pytest.mark.parametrize(
    ("text", "refused"),
    [
        ("kestrel, 7 iron, 120yd: 5", [1]),
        ("wind 12mph 1h", [1]),
        ("when 2026-05-14T18:30\nkestrel: 5", [2]),
        ("when 2026-05-14T18:30\nnobody, 7 iron, 120yd: 5\nheron, 7 iron, 120yd: 5", [2]),
        ("when 2026-05-14T18:30\nkestrel, 2 iron, 120yd: 5", [2]),
    ],
)
def test_what_cannot_be_kept_is_refused_alone(store: Store, text: str, refused: list[int]) -> None:
    assert list(why(read(store, text))) == refused
    assert store.sessions(store.player("kestrel").id) == ()


@pytest.mark.parametrize(
    ("bad", "good"),
    [
        ("station 2: 9 iron, 800yd", "station 2: 9 iron, 80yd"),
        ("wind 14mph", "wind 14mph 2h"),
        ("when x", "when 2026-05-15"),
    ],
)
def test_lines_that_rest_on_a_refused_one_are_refused_with_it(store: Store, bad: str, good: str) -> None:
    head = "when 2026-05-14T18:30\nstation 1: 7 iron, 120yd\nkestrel: 5\n"
    assert list(why(read(store, f"{head}{bad}\nheron: 5\n"))) == [4, 5]
    assert marks(store, "heron") == []
    station = "" if good.startswith("station") else "station 1: 7 iron, 120yd\n"
    assert list(why(read(store, f"{head}{bad}\n{good}\n{station}heron: 5\n"))) == [4]
    assert marks(store, "heron") == [PIN]


def test_a_line_is_kept_whole_or_not_at_all(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    add, count = shots_table.add, iter(range(100))

    def fails_at_the_third(*args: object) -> object:
        if next(count) == 2:
            raise StoreError("the disk is full", "store.db", "make room")
        return add(*args)  # type: ignore[arg-type]  # passed through unchanged

    monkeypatch.setattr(shots_table, "add", fails_at_the_third)
    with pytest.raises(StoreError, match="full"):
        read(store, EVENING)
    assert store.shots() == ()
    monkeypatch.undo()
    assert why(read(store, EVENING)) == {}
    assert len(store.shots()) == 10


def test_stated_conditions_hold_for_all(store: Store) -> None:
    read(
        store,
        EVENING.replace("wind 12mph 1h\n", ""),
        StatedConditions(wind=BREEZE, ball=Ball.PLAYING, seen=Seen.LASER),
    )
    shots = store.shots(player_id=store.player("heron").id)
    assert {(shot.ball, shot.seen) for shot in shots} == {(Ball.PLAYING, Seen.LASER)}
    assert store.reading(shots[0].reading_id or 0).wind == BREEZE


def test_balls_in_a_wind_that_nobody_read_say_so(store: Store) -> None:
    read(store, EVENING.replace("wind 12mph 1h\n", ""))
    shot = store.shots(player_id=store.player("heron").id)[0]
    assert store.reading(shot.reading_id or 0).wind.knowledge is WindKnowledge.UNKNOWN


def grid_of(store: Store, balls_each: int = 3) -> GroupGrid:
    group = GroupSession(store, WHEN, StatedConditions())
    group.read_wind(BREEZE)
    return GroupGrid(group, STATION, PLAYERS, balls_each)


def test_the_grid_fills_one_player_after_the_other(store: Store) -> None:
    grid = grid_of(store)
    assert (grid.view().row, grid.view().column) == (0, 0)
    for key in "552" + "x-0" + "789":
        view = grid.enter(key)
    assert [row.marks for row in view.rows] == [("5", "5", "2"), ("0", "-", "0"), ("7", "8", "9")]
    assert view.done
    assert len(store.shots()) == 9
    with pytest.raises(InputError, match="has 3 balls"):
        grid.enter("5")


def test_the_grid_goes_on_where_it_was_after_a_fall(store: Store) -> None:
    grid = grid_of(store)
    for key in "5521":
        before = grid.enter(key)
    assert grid_of(store).view() == before


def test_undo_takes_back_the_last_ball_whoevers_it_is(store: Store) -> None:
    grid = grid_of(store)
    for key in "5521":
        grid.enter(key)
    grid.go_to(2)
    view = grid.undo(LATER)
    assert (view.row, view.column) == (1, 0)
    view = grid.undo(LATER)
    assert (view.row, view.column, view.rows[0].marks) == (0, 2, ("5", "5"))
    grid.undo(LATER)
    grid.undo(LATER)
    with pytest.raises(InputError, match="no ball"):
        grid.undo(LATER)


def test_a_cell_of_the_grid_can_be_put_right(store: Store) -> None:
    grid = grid_of(store)
    for key in "552":
        grid.enter(key)
    assert grid.correct(0, 1, "8", LATER).rows[0].marks == ("5", "8", "2")
    assert len(store.revisions(store.shots()[1].id)) == 1
    for row, column, key in ((0, 3, "5"), (1, 0, "5"), (7, 0, "5"), (0, 0, "q")):
        with pytest.raises(InputError):
            grid.correct(row, column, key, LATER)


@pytest.mark.parametrize("aliases", [(), ("kestrel", "Kestrel"), ("nobody",)])
def test_a_grid_of_no_player_or_of_one_twice_is_refused(store: Store, aliases: tuple[str, ...]) -> None:
    with pytest.raises(InputError):
        GroupGrid(GroupSession(store, WHEN, StatedConditions()), STATION, aliases)


@settings(max_examples=examples(15), suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.sampled_from(["5", "0", "-", "undo", "down"]), max_size=20))
def test_the_grid_shows_what_the_store_holds(store: Store, keys: list[str]) -> None:
    for shot in store.shots():
        store.undo_shot(shot.id, LATER)
    grid = grid_of(store)
    said: list[list[str]] = [[], [], []]
    order: list[int] = []
    row = 0
    for key in keys:
        if key == "down":
            row = grid.go_to(row + 1).row
        elif key == "undo":
            if order:
                row = order.pop()
                said[row].pop()
                grid.undo(LATER)
        elif len(said[row]) < 3:
            said[row].append(key)
            order.append(row)
            row = grid.enter(key).row
    assert [list(each.marks) for each in grid.view().rows] == said
    assert grid.view().row == row


def test_an_evening_that_began_at_a_moment_with_an_offset_is_entered_to_its_end(store: Store) -> None:
    store.close()
    desk = GroupDesk(
        Practice(store.path),
        GroupAnswers("kestrel, heron", "7 iron, three-quarter, 120yd", "1", "", f"{WHEN.isoformat()}Z"),
        LATER,
    )
    desk.read_wind("14mph 1h", LATER)
    for key in ("5", "6"):
        desk.enter(key)
    assert "kestrel: 5" in desk.view().text
    desk.end()
