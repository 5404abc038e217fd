"""The session's screen: what is typed, what the store holds then, and what stands on the screen."""

from __future__ import annotations

from pathlib import Path

from textual import events

from tests.tui.helpers import (
    begun,
    keep_player,
    line,
    pressed,
    running,
    stored_sessions,
    stored_shots,
    typed,
    until,
    warmed_up,
    words,
)
from trainer.core.units import to_si
from trainer.store.records import BallState, Mark
from trainer.store.store import open_store
from trainer.tui.actions import Place
from trainer.tui.app import TrainerApp
from trainer.tui.screens.skip import SkipScreen

PLAN = "first-windy-evening"


async def test_a_typed_shot_is_in_the_store_when_it_is_said_to_be(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        ball = screen.view.ball
        assert ball is not None
        left = screen.view.left
        await pilot.press(*"142", "space", *"6L")
        assert words(app, "#check") == "carry 142 yd, 6 yd left"
        assert not stored_shots(path)
        await pressed(screen, pilot, "enter")
        (shot,) = stored_shots(path)
        assert shot.entry.carry_m == to_si(142, "yd")
        assert shot.agenda_number == ball.number
        assert shot.cell.club == ball.club
        assert screen.view.left == left - 1
        assert words(app, "#heard").startswith("kept: carry 142 yd")
        assert line(app).value == ""


async def test_what_is_refused_stays_in_the_line_and_is_not_recorded(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        version = screen.view.version
        line(app).put("7 iron: 14z")
        await pilot.press("enter")
        await until(pilot, lambda: "not kept" in words(app, "#heard"))
        assert line(app).value == "7 iron: 14z"
        assert words(app, "#check").startswith("? ")
        assert screen.view.version == version
        assert not stored_shots(path)


async def test_free_practice_needs_the_shot_named(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        assert screen.view.ball is None
        assert not screen.view.finished
        line(app).put("142")
        await pilot.press("enter")
        await until(pilot, lambda: "which club" in words(app, "#heard"))
        await typed(screen, pilot, "8 iron, 1 in, half: 118")
        assert [shot.cell.club for shot in stored_shots(path)] == ["8 iron"]


async def test_figures_follow_a_shot_and_stale_ones_are_dropped(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await typed(screen, pilot, "7 iron: 140")
        await until(pilot, lambda: screen.figures is not None and screen.figures.version == screen.view.version)
        first = screen.figures
        assert first is not None
        assert first.strip is not None
        await typed(screen, pilot, "7 iron: 110")
        await until(pilot, lambda: screen.figures is not None and screen.figures.version == screen.view.version)
        assert screen.figures is not None
        assert screen.figures.strip is not None
        assert screen.figures.strip.median < first.strip.median
        assert screen.figures.strip.before_high == first.strip.before_high
        newest = screen.figures
        from trainer.tui.messages import FiguresShown

        screen.post_message(FiguresShown(first))
        await pilot.pause()
        assert screen.figures.version == newest.version > first.version


async def test_a_shot_is_corrected_in_place(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        for text in ("7 iron: 140", "7 iron: 150", "7 iron: 160"):
            await typed(screen, pilot, text)
        await pilot.press("up", "up", "enter")
        assert screen.entering.correcting is not None
        assert line(app).value == "150"
        assert "correcting shot 2" in words(app, "#ask")
        await pressed(screen, pilot, "backspace", "5", "enter")
        assert [round(shot.entry.carry_m or 0, 3) for shot in stored_shots(path)] == [
            round(to_si(yards, "yd"), 3) for yards in (140, 155, 160)
        ]
        assert screen.view.shots[1].marks == "corrected"
        assert screen.entering.correcting is None


async def test_a_refused_correction_is_still_a_correction(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await typed(screen, pilot, "7 iron: 140")
        await pilot.press("up", "enter")
        line(app).put("14q")
        await pilot.press("enter")
        await until(pilot, lambda: "not kept" in words(app, "#heard"))
        assert screen.entering.correcting is not None
        assert line(app).value == "14q"
        await typed(screen, pilot, "144")
        assert [shot.entry.carry_m for shot in stored_shots(path)] == [to_si(144, "yd")]
        assert screen.entering.correcting is None


async def test_a_correction_is_dropped_by_escape(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await typed(screen, pilot, "7 iron: 140")
        await pilot.press("up", "enter", "9", "escape")
        assert screen.entering.correcting is None
        assert line(app).value == ""
        assert screen.place is Place.LINE
        assert stored_shots(path)[0].entry.carry_m == to_si(140, "yd")


async def test_undo_lets_the_ball_wait_again(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        ball = screen.view.ball
        await typed(screen, pilot, "120")
        assert screen.view.ball != ball
        await pressed(screen, pilot, "f5")
        assert screen.view.ball is not None
        assert ball is not None
        assert screen.view.ball.number == ball.number
        assert not stored_shots(path)


async def test_gust_lull_and_mishit_marks(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await pilot.press("f4")
        assert "GUST" in words(app, "#ask")
        await typed(screen, pilot, "7 iron: 131")
        assert words(app, "#ask") == ""
        await pilot.press("f4", "f4")
        await typed(screen, pilot, "7 iron: 151")
        await typed(screen, pilot, "7 iron: 141")
        await pressed(screen, pilot, "f3")
        shots = stored_shots(path)
        assert [shot.mark for shot in shots] == [Mark.GUST, Mark.LULL, None]
        assert [shot.entry.mishit for shot in shots] == [False, False, True]
        await typed(screen, pilot, "mishit")
        assert not stored_shots(path)[-1].entry.mishit


async def test_a_mark_waits_for_the_ball_whose_line_was_refused(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        line(app).put("7 iron: 14z")
        await pilot.press("f4", "enter")
        await until(pilot, lambda: "not kept" in words(app, "#heard"))
        assert "GUST" in words(app, "#ask")
        await typed(screen, pilot, "7 iron: 131")
        await typed(screen, pilot, "7 iron: 141")
        assert [shot.mark for shot in stored_shots(path)] == [Mark.GUST, None]


async def test_a_chosen_shot_is_marked_in_place(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await typed(screen, pilot, "7 iron: 131")
        await pilot.press("up")
        await pressed(screen, pilot, "f4")
        assert [shot.mark for shot in stored_shots(path)] == [Mark.GUST]
        await pressed(screen, pilot, "f4")
        await pressed(screen, pilot, "f4")
        assert [shot.mark for shot in stored_shots(path)] == [None]


async def test_skip_asks_why_and_keeps_the_answer(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        number = screen.view.ball.number if screen.view.ball else 0
        await pilot.press("f6")
        assert isinstance(app.screen, SkipScreen)
        await pressed(screen, pilot, "4")
        await typed(screen, pilot, "skip staff are collecting")
        with open_store(path, write=False) as store:
            skipped = [
                (ball.number, ball.skip_reason)
                for ball in store.agenda(screen.view.session_id)
                if ball.state is BallState.SKIPPED and "warm-up" not in ball.skip_reason
            ]
        assert skipped == [(number, "tired"), (number + 1, "staff are collecting")]
        assert screen.view.skipped == 2


def tap_at(app: TrainerApp, moment_s: float) -> None:
    """The space bar, at a moment of the monotonic clock."""
    key = events.Key("space", " ")
    key.time = moment_s
    app.post_message(key)


async def test_hang_time_by_two_taps_goes_with_the_next_ball(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        tap_at(app, 100.0)
        await until(pilot, lambda: "in the air" in words(app, "#ask"))
        tap_at(app, 105.3)
        await until(pilot, lambda: "5.3 s" in words(app, "#ask"))
        await typed(screen, pilot, "7 iron: 141 2R")
        assert stored_shots(path)[0].entry.hang_s == 5.3
        await pilot.press("space")
        assert line(app).value == ""
        assert screen.entering.tapped_at is not None


async def test_five_balls_left_keeps_a_finish_without_feedback(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await typed(screen, pilot, "110")
        await typed(screen, pilot, "five")
        assert screen.view.left == 5
        assert screen.view.ball is not None
        assert screen.view.ball.stage == "test"
        await typed(screen, pilot, "112 3R")
        assert "no result" in words(app, "#strip")
        assert screen.view.shots[0].hidden
        assert not screen.view.shots[1].hidden
        assert "3 yd right" not in words(app, "#shots")
        for _ in range(4):
            await typed(screen, pilot, "111")
        assert screen.view.finished
        assert screen.place is Place.DONE
        await until(pilot, lambda: "thought before" in words(app, "#strip"))
        assert not any(shot.hidden for shot in screen.view.shots)
        # What moved leaves few rows for the shots: the chosen one is among them.
        for _ in range(6):
            await pilot.press("up")
        await until(pilot, lambda: "3 yd right" in words(app, "#shots"), "results after the test")


async def test_ending_with_balls_left_asks_once(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        line(app).put("end")
        await pilot.press("enter")
        assert "balls are left" in words(app, "#heard")
        assert stored_sessions(path)[0].ended_at is None
        line(app).put("end")
        await pilot.press("enter")
        await until(pilot, lambda: app.screen is not screen, "the day")
        assert stored_sessions(path)[0].ended_at is not None


async def test_a_word_with_a_hostile_tag_or_name_is_shown_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        line(app).put("skip [bold]x[/] [/nothing]")
        await pilot.press("enter")
        await until(pilot, lambda: "no ball waits" in words(app, "#heard"))
        line(app).put("[red]7 iron[/red]: 142")
        await pilot.press("enter")
        await until(pilot, lambda: "[red]" in words(app, "#heard") or "[red]" in words(app, "#check"))
        assert screen.is_current
