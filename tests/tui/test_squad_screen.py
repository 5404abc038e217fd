"""The squad on the screen: members, plans out, results in, decisions and notes; the same as the commands say."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.cli.program import NOW, Program
from tests.cli.squad_programs import DUE, PLAN, Squad, made
from tests.tui.helpers import Clock, line, running, until, words
from tests.tui.look_helpers import answered as done_looking
from tests.tui.work_helpers import SIZES, done, keyed, member_page, said_in_line, squad_page, working
from trainer.store.store import open_store
from trainer.tui.app import TrainerApp
from trainer.tui.screens.first_run import FirstRunScreen
from trainer.tui.screens.gaps import GapsScreen
from trainer.tui.screens.pick import PickScreen
from trainer.tui.screens.squad import CollectScreen, SquadScreen, ToldScreen
from trainer.tui.screens.squad_assign import AssignScreen
from trainer.tui.screens.squad_member import MemberScreen
from trainer.tui.widgets.words import Words


@pytest.fixture
def squad(tmp_path: Path) -> Squad:
    return made(tmp_path)


async def shown(app: TrainerApp, pilot: Pilot[None]) -> None:
    """The squad of a coach's store that holds no player yet: by F2 from the first start."""
    await until(
        pilot, lambda: isinstance(app.screen, FirstRunScreen) and bool(app.screen.query("#carry")), "the start"
    )
    await pilot.press("f2")
    await until(pilot, lambda: isinstance(app.screen, SquadScreen) and app.screen.is_mounted, "the squad")
    await done(app, pilot)


def a_clock() -> Clock:
    return Clock(NOW + timedelta(minutes=5))


async def collected(app: TrainerApp, pilot: Pilot[None], folder: Path) -> None:
    await pilot.press("c")
    screen = app.screen
    assert isinstance(screen, PickScreen)
    line(app, "#path").put(f"{folder}/")
    await until(pilot, lambda: screen.row is not None and screen.row.typed == f"{folder}/", "the folder")
    await pilot.press("enter")
    await until(pilot, lambda: isinstance(app.screen, CollectScreen) and app.screen.is_mounted, "the result")
    await done(app, pilot)


async def test_a_member_is_added_by_alias_and_age_band(tmp_path: Path) -> None:
    path = tmp_path / "coach.db"
    async with running(path, clock=a_clock()) as (app, pilot):
        await shown(app, pilot)
        assert squad_page(app).rows == ()
        for text in ("wren 14-15 consent 2026-05-01", "auk adult", "Crow under 11 keep 2026-09-01"):
            await said_in_line(app, pilot, "n", text)
        assert [(row.alias, row.band) for row in squad_page(app).rows] == [
            ("auk", "adult"),
            ("Crow", "under 11"),
            ("wren", "14-15"),
        ]
        await said_in_line(app, pilot, "n", "robin")
        assert "age band" in words(app, "#said")
        await said_in_line(app, pilot, "n", "robin adult consent 2036-05-01")
        assert "still to come" in words(app, "#said")
        assert working(app).as_text() == Program(path)("squad", "show").out.rstrip("\n")
    with open_store(path, write=False) as store:
        crow = store.squad.member("crow")
    assert (crow.consent_date, crow.keep_until) == (None, date(2026, 9, 1))


async def test_a_plan_is_written_out_and_the_command_would_say_the_same(squad: Squad, tmp_path: Path) -> None:
    async with running(squad.coach.store, clock=a_clock()) as (app, pilot):
        await shown(app, pilot)
        await pilot.press("g")
        await until(pilot, lambda: isinstance(app.screen, AssignScreen) and app.screen.setup is not None, "the form")
        assert line(app, "#to").value == "kestrel"
        line(app, "#due").put("2025-01-01")
        line(app, "#folder").put(str(squad.out))
        await pilot.press("enter")
        await until(pilot, lambda: "is past" in words(app, "#said"), "the refusal")
        assert not squad.out.exists()
        line(app, "#due").put(DUE)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, ToldScreen) and app.screen.view is not None, "the result")
        (folder,) = squad.out.iterdir()
        assert {path.name for path in folder.iterdir()} == {"plan.toml", "assignment.toml"}
        command = squad.coach("squad", "assign", PLAN, "--to", "kestrel", "--due", DUE, str(squad.out)).out
        told = [each for each in working(app).as_text().splitlines() if folder.name not in each]
        assert told == [each for each in command.splitlines() if "kestrel-" not in each]
        await pilot.press("escape")
        await done(app, pilot)
        assert "due 21 May 2026" in words(app, "#members")


async def test_results_are_collected_looked_at_and_accepted_at_the_second_asking(squad: Squad) -> None:
    plan_id = squad.start()
    squad.play(plan_id)
    squad.submit()
    async with running(squad.coach.store, clock=a_clock()) as (app, pilot):
        await shown(app, pilot)
        await collected(app, pilot, squad.back)
        assert "4 shots" in words(app, "#result")
        await pilot.press("escape")
        await done(app, pilot)
        assert "1 to look at" in words(app, "#look-head")
        await keyed(app, pilot, "enter")
        await until(pilot, lambda: isinstance(app.screen, MemberScreen) and app.screen.view is not None, "him")
        assert working(app).as_text() == squad.coach("squad", "show", "kestrel").out.rstrip("\n")
        await pilot.press("a")
        assert squad.member()["assignments"][0]["state"] == "submitted"
        await keyed(app, pilot, "a")
        assert squad.member()["assignments"][0]["state"] == "accepted"
        await keyed(app, pilot, "r")
        assert "accepted already" in words(app, "#said")


async def test_what_is_given_back_is_owed_again_and_notes_stay(squad: Squad) -> None:
    squad.play(squad.start())
    squad.submit()
    squad.collect()
    async with running(squad.coach.store, clock=a_clock()) as (app, pilot):
        await until(pilot, lambda: bool(app.screen.query("#plans")) and app.has_player, "the day of the only player")
        await pilot.press("f2", "9")
        await until(pilot, lambda: isinstance(app.screen, SquadScreen) and app.screen.is_mounted, "the squad")
        await done(app, pilot)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, MemberScreen) and app.screen.view is not None, "him")
        await keyed(app, pilot, "r")
        assert squad.member()["assignments"][0]["state"] == "returned"
        await said_in_line(app, pilot, "n", "look at  the [grip]")
        assert any("look at the [grip]" in note for note in member_page(app).notes)
        assert "look at the [grip]" in words(app, "#member-page")
        assert working(app).as_text() == squad.coach("squad", "show", "kestrel").out.rstrip("\n")
        await said_in_line(app, pilot, "n", "   ")
        assert "no note" in words(app, "#said")


async def test_a_note_that_was_refused_waits_in_its_line(squad: Squad) -> None:
    async with running(squad.coach.store, clock=a_clock()) as (app, pilot):
        await shown(app, pilot)
        await keyed(app, pilot, "enter")
        await until(pilot, lambda: isinstance(app.screen, MemberScreen) and app.screen.view is not None, "him")
        with open_store(squad.coach.store, write=True):
            await said_in_line(app, pilot, "n", "hands ahead at the strike")
        assert member_page(app).notes == ()
        await pilot.press("n")
        assert line(app, "#question").value == "hands ahead at the strike"


async def test_who_is_overdue_is_said_and_nobody_is_ranked(squad: Squad) -> None:
    squad.coach.json("squad", "add", "auk", "--age-band", "adult")
    squad.assign("kestrel")
    later = Clock(NOW + timedelta(days=30))
    async with running(squad.coach.store, clock=later) as (app, pilot):
        await shown(app, pilot)
        assert "1 overdue" in words(app, "#look-head")
        assert [row.alias for row in squad_page(app).rows] == ["auk", "kestrel"]
        lines = words(app, "#members").splitlines()
        assert "OVERDUE since 21 May 2026" in lines[1]
        await pilot.click("#members", offset=(4, 1))
        await pilot.pause()
        assert words(app, "#members").splitlines()[1].startswith("▸")


async def test_a_coach_who_plays_stays_himself_when_others_results_come_in(squad: Squad) -> None:
    squad.coach("setup", "--from-carry", "7 iron=150yd", "--player", "coach")
    squad.play(squad.start())
    squad.submit()
    async with running(squad.coach.store, clock=a_clock()) as (app, pilot):
        await until(pilot, lambda: bool(app.screen.query("#plans")) and app.has_player, "his day")
        await pilot.press("f2", "9")
        await until(pilot, lambda: isinstance(app.screen, SquadScreen) and app.screen.is_mounted, "the squad")
        await done(app, pilot)
        await collected(app, pilot, squad.back)
        await pilot.press("f2", "1")
        await until(pilot, lambda: isinstance(app.screen, GapsScreen) and app.screen.is_mounted, "the table")
        await done_looking(app, pilot)
        assert app.screen.query_one("#said", Words).plain == ""


async def test_a_file_that_cannot_be_taken_is_named_and_hides_none(squad: Squad) -> None:
    squad.play(squad.start())
    squad.submit()
    (squad.back / "broken.result.toml").write_text("kind = 'no'", encoding="utf-8")
    async with running(squad.coach.store, clock=a_clock()) as (app, pilot):
        await shown(app, pilot)
        await collected(app, pilot, squad.back)
        assert "broken.result.toml" in words(app, "#result")
        assert "4 shots" in words(app, "#result")
        await keyed(app, pilot, "t")
        assert "1 held already" in words(app, "#result")


async def test_the_squad_is_in_the_window(squad: Squad) -> None:
    squad.assign("kestrel")
    for number in range(30):
        squad.coach.json("squad", "add", f"bird {number:02d}", "--age-band", "adult")
    async with running(squad.coach.store, SIZES[0], clock=a_clock()) as (app, pilot):
        await shown(app, pilot)
        await pilot.press(*("j" for _ in range(30)))
        screen = app.screen
        assert isinstance(screen, SquadScreen)
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert screen.row is not None
            assert screen.row.alias == "kestrel"
            lines = words(app, "#members").splitlines()
            assert any(each.startswith("▸ kestrel") and "due 21 May" in each for each in lines), size
            assert screen.query_one("#member-detail").region.bottom <= size[1] - 1, size
