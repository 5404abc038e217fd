"""Choose, compare, card, progress, plans, where to look, and the tour."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.helpers import (
    START,
    day_is_shown,
    line,
    running,
    session,
    stored_sessions,
    until,
    words,
)
from tests.tui.look_helpers import DIGITS, answered, asked, go, keep_evenings, look, looking, printed, text
from trainer.application.views.look import ChoiceView, FlightsView, PlanBallsView, ProgressView
from trainer.store.store import open_store
from trainer.tui.actions import Place
from trainer.tui.screens.first_run import FirstRunScreen
from trainer.tui.screens.help import HelpScreen
from trainer.tui.screens.plans import PlanScreen, PlansScreen
from trainer.tui.screens.session import SessionScreen
from trainer.tui.screens.today import TodayScreen
from trainer.tui.screens.tour import STEPS, TourScreen
from trainer.tui.screens.where import DESTINATIONS, WhereScreen
from trainer.tui.widgets.choice import Listing
from trainer.tui.widgets.folding import dashed
from trainer.tui.widgets.words import Words

SIZES = [(80, 24), (120, 40), (60, 20)]
PLAN = "club-down-ladder-night"


@pytest.fixture
def store(tmp_path: Path) -> Path:
    path = tmp_path / "t.db"
    keep_evenings(path)
    return path


async def test_choose_asks_for_a_distance_and_gives_three_choices(store: Path) -> None:
    async with looking(store, "choose") as (app, pilot):
        assert app.screen.focused is line(app, "#question")
        assert look(app).place is Place.ASKING
        await asked(app, pilot, "140 front 131 back 152 carry-over 128 wind 14mph 1h")
        view = look(app).view
        assert isinstance(view, ChoiceView)
        assert len(view.options) == 3
        shown = words(app, "#choices")
        assert all(option.name in shown and option.hold_words in shown for option in view.options)
        assert "Rule 4.3a" in words(app, "#look-head")
        assert view.stretches[0].low == 0
        assert view.stretches[-1].high == 1
        expected = printed(
            store, "choose", "140", "--front", "131", "--back", "152", "--carry-over", "128", "--wind", "14mph",
            "--wind-from", "1h",
        )  # fmt: skip
        assert text(app) == expected


UNREADABLE = {
    "front 131": "how far is the target",
    "140 back 120": "back lies in front",
    "140 carry-over -3": "lies behind you",
    "140 aim high": "not known",
    "140 front": "nothing follows",
    "140 wind 14mph": "where does the wind come from",
    "140 wind 14mph 1h wind 3mph 2h": "said twice",
}


async def test_a_question_that_cannot_be_read_is_asked_back(store: Path) -> None:
    async with looking(store, "choose") as (app, pilot):
        for typed, said in UNREADABLE.items():
            await asked(app, pilot, typed)
            assert said in words(app, "#said")
            assert look(app).view is None
            await pilot.press("t")
            assert line(app, "#question").value == typed


async def test_the_wind_of_the_table_holds_for_the_choice(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await asked(app, pilot, "14mph 1h")
        await go(app, pilot, "choose")
        await asked(app, pilot, "140")
        assert "14 mph" in words(app, "#look-head")
        await asked(app, pilot, "140 calm")
        assert "no wind" in words(app, "#look-head")


async def test_compare_takes_two_typed_shots(store: Path) -> None:
    async with looking(store, "compare") as (app, pilot):
        await answered(app, pilot)
        first = look(app).view
        assert isinstance(first, FlightsView)
        assert line(app, "#question").value == first.typed
        await asked(app, pilot, "8 iron; 6 iron, 2 in, half wind 18mph 11h")
        assert text(app) == printed(
            store, "compare", "8 iron", "6 iron, 2 in, half", "--wind", "18mph", "--wind-from", "11h"
        )
        view = look(app).view
        assert isinstance(view, FlightsView)
        shown = words(app, "#flights")
        assert all(name in shown for name in view.names)
        assert all(row[1] in shown for row in view.rows[1:])
        await pilot.press("v")
        assert view.rows[1][1] in words(app, "#lines")
        await asked(app, pilot, "8 iron")
        assert "two shots" in words(app, "#said")
        assert look(app).view is view


async def test_the_card_is_shown_as_printed_and_saved_in_three_forms(
    store: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    async with looking(store, "card") as (app, pilot):
        await asked(app, pilot, "6 iron, 7 iron, 8 iron temperature 12C")
        clubs = ("--clubs", "6 iron, 7 iron, 8 iron", "--temperature", "12C")
        assert words(app, "#card-text") == printed(store, "card", *clubs)
        for form, ending in (("text", "txt"), ("html", "html"), ("svg", "svg")):
            await pilot.press("s")
            line(app, "#question").put(f"mine.{ending}")
            await pilot.press("enter")
            await until(pilot, lambda: "saved" in words(app, "#said"), "the file")
            kept = (tmp_path / f"mine.{ending}").read_text(encoding="utf-8").rstrip("\n")
            assert kept == printed(store, "card", "--format", form, *clubs)
        await pilot.press("s")
        line(app, "#question").put("mine.txt")
        await pilot.press("enter")
        await until(pilot, lambda: "never overwritten" in words(app, "#said"), "the refusal")
        await pilot.press("s")
        line(app, "#question").put("mine.pdf")
        await pilot.press("enter")
        await until(pilot, lambda: ".svg" in words(app, "#said"), "the refusal")
        await pilot.press("l", "h")
        await asked(app, pilot, "9 iron, 8 iron")
        assert "7 iron" not in words(app, "#card-text")


async def test_progress_tells_the_kinds_apart_and_says_when_nothing_is_clear(store: Path) -> None:
    async with looking(store, "progress") as (app, pilot):
        await answered(app, pilot)
        view = look(app).view
        assert isinstance(view, ProgressView)
        assert len({kind.name for kind in view.kinds}) == 3
        assert all(kind.name in words(app, "#kinds") for kind in view.kinds)
        assert text(app) == printed(store, "progress")
        await pilot.press("j", "pagedown", "k", "v")
        assert look(app).as_lines


async def test_a_plan_shows_its_balls_with_reasons_and_begins(store: Path) -> None:
    async with looking(store, "plans") as (app, pilot):
        await answered(app, pilot)
        assert text(app) == printed(store, "plan", "list")
        app.screen.query_one(Listing).point_at(PLAN)
        await pilot.pause()
        assert words(app, "#plan-purpose")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, PlanScreen) and app.screen.is_mounted, "its balls")
        await asked(app, pilot, "14mph 1h")
        view = look(app).view
        assert isinstance(view, PlanBallsView)
        assert text(app) == printed(store, "agenda", "--plan", PLAN, "--wind", "14mph", "--wind-from", "1h")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, SessionScreen) and app.screen.is_mounted, "the session")
        await until(pilot, lambda: session(app).view.version >= 2, "its first view")
        assert session(app).view.wind.speed.startswith("14 mph")
        assert session(app).view.ball is not None
        assert stored_sessions(store)[-1].plan_id == PLAN
        await pilot.press("escape", "e", "e")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "the day")


async def test_what_a_wind_cannot_teach_is_swapped_and_said(store: Path) -> None:
    async with looking(store, "plans") as (app, pilot):
        await answered(app, pilot)
        app.screen.query_one(Listing).point_at("crosswind-start-line")
        await pilot.pause()
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, PlanScreen) and app.screen.is_mounted, "its balls")
        await asked(app, pilot, "14mph 12h")
        view = look(app).view
        assert isinstance(view, PlanBallsView)
        assert view.swaps
        assert all(f"Swapped: {swap}" in words(app, "#balls") for swap in view.swaps)


async def test_a_plan_without_a_wind_is_begun_only_after_the_day_asked_for_it(store: Path) -> None:
    async with looking(store, "plans") as (app, pilot):
        await answered(app, pilot)
        await pilot.press("j", "enter")
        await until(pilot, lambda: isinstance(app.screen, PlanScreen) and app.screen.is_mounted, "its balls")
        await answered(app, pilot)
        before = len(stored_sessions(store))
        await pilot.press("b")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "the day")
        await until(pilot, lambda: "Wind not read" in words(app, "#asked"), "the question")
        assert len(stored_sessions(store)) == before


async def test_an_open_session_is_not_ended_by_looking_at_a_plan(store: Path) -> None:
    async with looking(store, "plans") as (app, pilot):
        await answered(app, pilot)
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen))
        line(app, "#wind").put("9mph 1h")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, SessionScreen) and app.screen.is_mounted, "the session")
        await until(pilot, lambda: session(app).view.version >= 2, "its first view")
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        await go(app, pilot, "plans")
        await answered(app, pilot)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, PlanScreen) and app.screen.is_mounted, "its balls")
        await answered(app, pilot)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "the day")
        await until(pilot, lambda: "ends the open session" in words(app, "#asked"), "the question")
    assert stored_sessions(store)[-1].ended_at is None


async def test_new_shots_are_seen_without_a_restart(store: Path) -> None:
    from trainer.application.conditions.stated import StatedConditions
    from trainer.application.session.recording import begin

    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        before = text(app)
        with open_store(store, write=True) as held:
            recorder = begin(held, None, StatedConditions(), START)
            for carry in (139, 141, 144):
                recorder.line(f"6 iron: {carry}", START)
        await asked(app, pilot, "calm")
        assert text(app) != before
        assert text(app) == printed(store, "gaps", "--calm")


async def test_every_destination_says_what_it_is_for_and_opens(store: Path) -> None:
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        await pilot.press("f2")
        shown = words(app, "#where")
        assert all(each.name in shown and each.purpose in shown for each in DESTINATIONS)
        assert len({each.digit for each in DESTINATIONS}) == len(DESTINATIONS)
        await pilot.press("escape")
        assert isinstance(app.screen, TodayScreen)
        await pilot.press("f2", "down", "j", "k", "enter")
        await until(pilot, lambda: type(app.screen).__name__ == DESTINATIONS[1].screen, "the second one")
        for what in DIGITS:
            await go(app, pilot, what)
            assert len(app.screen_stack) == 2, "the way back leads to the day"
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "the day")


async def test_help_says_what_each_screen_is_for(store: Path) -> None:
    async with looking(store, "progress") as (app, pilot):
        await pilot.press("question_mark")
        await until(
            pilot, lambda: isinstance(app.screen, HelpScreen) and bool(app.screen.query("#help Words")), "help"
        )
        shown = app.screen.query_one("#help Words", Words).plain
        assert all(each.purpose in shown for each in DESTINATIONS)
        assert "hang=" not in shown, "what is typed for a ball is the session's"


async def test_the_mouse_chooses_where_to_look(store: Path) -> None:
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        await pilot.press("f2")
        assert isinstance(app.screen, WhereScreen)
        await pilot.click("#where", offset=(5, 6))
        await until(pilot, lambda: isinstance(app.screen, PlansScreen), "the sixth")


@pytest.mark.parametrize("size", SIZES)
async def test_every_screen_fits_every_size(store: Path, size: tuple[int, int]) -> None:
    async with running(store, size=size) as (app, pilot):
        await day_is_shown(app, pilot)
        for what in ("choose", "compare", "card", "progress", "plans"):
            await go(app, pilot, what)
            if what == "choose":
                await asked(app, pilot, "140 wind 14mph 1h gust 20mph")
            await answered(app, pilot)
            screen = app.screen
            assert not screen.query_one("#too-small").display, what
            assert look(app).view is not None, what
            for where in ("#look-head", "#look", "#foot"):
                region = screen.query_one(where).region
                assert region.height >= 1, (what, where)
                assert region.bottom <= size[1], (what, where)
            assert screen.query_one("#look").region.height >= 10, what
            await pilot.resize_terminal(40, 10)
            await pilot.pause()
            assert screen.query_one("#too-small").display, what
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert screen.query_one("#body").display, what


async def test_the_tour_comes_once_after_the_first_start_and_has_four_steps(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    async with running(path) as (app, pilot):
        await until(pilot, lambda: isinstance(app.screen, FirstRunScreen) and bool(app.screen.query("#carry")))
        line(app, "#carry").put("150")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, TourScreen) and bool(app.screen.query("#step")), "the tour")
        await until(pilot, lambda: bool(words(app, "#step")), "its first step")
        assert len(STEPS) == 4
        for title, _ in STEPS:
            assert title in words(app, "#step")
            await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "the day")
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        await pilot.pause()
        assert isinstance(app.screen, TodayScreen)
        app.action_tour()
        await until(pilot, lambda: isinstance(app.screen, TourScreen) and bool(app.screen.query("#step")), "by name")
        await pilot.press("right", "left", "escape")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "skipped")


def test_sentences_are_folded_within_the_window() -> None:
    sentences = ["one two three " * 9, "short"]
    lines = dashed(sentences, 30)
    assert max(map(len, lines)) <= 30
    assert sum(line.startswith("- ") for line in lines) == 2
    assert " ".join(line[2:] for line in lines).split() == " ".join(sentences).split()
