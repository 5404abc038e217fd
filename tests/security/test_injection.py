"""Text from people and files stays text: no terminal control, no markup, no formula, shown or written."""

from __future__ import annotations

import csv
import unicodedata
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import pytest

from tests.cli.program import Program
from tests.tui.helpers import (
    START,
    a_profile,
    begun,
    day_is_shown,
    keep_player,
    line,
    running,
    settled,
    typed,
    until,
    words,
)
from tests.tui.look_helpers import DIGITS, go
from trainer.core.bag import Bag, Cell, Club
from trainer.core.errors import InputError
from trainer.core.shot import ShotEntry
from trainer.exchange.profile_toml import read_profile
from trainer.plan.collection import check_file
from trainer.store.records import NewSession, NewShot
from trainer.store.store import open_store
from trainer.tui.app import TrainerApp

ESC = "\x1b[2J\x1b]0;owned\x07"
CONTROLS = {"escape": "\x1b[31m", "bell": "a\x07b", "one-byte escape": "\x9b31m", "return": "a\rb", "nul": "a\x00b"}
MARKUP = "[bold red]loud[/]"
LINK = "[@click=app.quit]go[/]"
FORMULA = "=cmd|' /C calc'!A0"
TAG = "<script>alert(1)</script>"


def steers(text: str) -> list[str]:
    """The characters that could steer a terminal: all controls but the line's end, and marks of writing direction."""
    return [char for char in text if char != "\n" and unicodedata.category(char) in ("Cc", "Cf")]


@pytest.fixture
def program(tmp_path: Path) -> Program:
    return Program(tmp_path / "data" / "store.db")


@pytest.mark.parametrize("bad", CONTROLS.values(), ids=CONTROLS)
def test_setup_refuses_control_characters_in_names(program: Program, bad: str) -> None:
    known = ("setup", "--from-carry", "7 iron=150yd")
    said = [
        program(*known, "--player", bad).refused(),
        program(*known, "--club", f"{bad}=50deg, 36in, 80yd").refused(),
        program("setup", "--from-carry", f"{bad}=150yd").refused(),
    ]
    assert not [char for line in said for char in steers(line)]
    with open_store(program.store, write=True) as store:
        assert store.players() == ()


@pytest.mark.parametrize("bad", ["a" * 41, " robin", "robin "], ids=repr)
def test_setup_refuses_an_alias_that_a_profile_could_not_hold(program: Program, bad: str) -> None:
    said = program("setup", "--from-carry", "7 iron=150yd", "--player", bad)
    assert "alias" in said.refused()
    assert program("setup", "--from-carry", "7 iron=150yd", "--club", "a,b:c=50deg, 36in, 80yd").code == 1


@pytest.mark.parametrize("bad", CONTROLS.values(), ids=CONTROLS)
def test_profiles_and_plans_refuse_control_characters(tmp_path: Path, bad: str) -> None:
    escaped = "".join(f"\\u{ord(char):04x}" if unicodedata.category(char) == "Cc" else char for char in bad)
    known = '[known_carry]\nclub = "7 iron"\ncarry = "150 yd"\n'
    for text in (
        f'format = 1\nalias = "{escaped}"\n{known}',
        f'format = 1\n[known_carry]\nclub = "{escaped}"\ncarry = "150 yd"\n',
        f'format = 1\n{known}[[club]]\nname = "{escaped}"\nloft = "33 deg"\nlength = "0.94 m"\ncarry = "150 yd"\n',
        f'format = 1\n{known}[[flag]]\nname = "{escaped}"\ndistance = "150 yd"\n',
    ):
        with pytest.raises(InputError) as caught:
            read_profile(text, "p.toml")
        assert not steers(str(caught.value))
    plan = 'format = 1\nid = "x"\ntitle = "{title}"\nlevel = "club"\nballs = 20\nminutes = 30\nnote = "{note}"\n'
    block = '[[block]]\ndrill = "knockdown baseline"\nclubs = ["7 iron"]\nballs = 12\ncue = "{cue}"\n'
    path = tmp_path / "x.toml"
    good = {"title": "a", "note": "b", "cue": "c"}
    path.write_text((plan + block).format(**good))
    assert check_file(path) == ()
    for key in good:
        path.write_text((plan + block).format(**{**good, key: escaped}))
        errors = check_file(path)
        assert len(errors) == 1, errors
        assert key in errors[0]
        assert not steers(errors[0])


def keep_hostile(path: Path) -> None:
    """A store from before names were looked at, or made by somebody else: every text in it is hostile."""
    profile = a_profile(MARKUP)
    clubs = (
        *profile.bag.clubs,
        Club(f"{MARKUP.lower()} {ESC}", 0.9, 0.9, 70.0),
        Club(FORMULA.lower(), 0.95, 0.9, 60.0),
    )
    keep_player(path, replace(profile, bag=Bag(clubs, profile.bag.grip_steps_m)))
    with open_store(path, write=True) as store:
        player = store.player()
        session = store.begin_session(NewSession(player.id, START, f"plan-{ESC}", note=f"{FORMULA}{ESC}{TAG}"))
        for club in clubs[-2:]:
            entry = ShotEntry(carry_m=64.0, tags=(LINK, FORMULA, ESC, TAG))
            store.add_shots(session.id, [NewShot(START, Cell(club.name), entry)] * 3)
        store.end_session(session.id, START)


READING = (
    ("gaps", "--all"), ("shots",), ("report",), ("progress",), ("choose", "70yd"), ("card",), ("doctor",),
    ("plan", "list"),
    ("compare", "7 iron", "7 iron, 1 in, three-quarter"), ("card", "--format", "html"), ("card", "--format", "svg"),
)  # fmt: skip


@pytest.mark.parametrize("words", READING, ids=" ".join)
def test_no_command_prints_what_could_steer_a_terminal(program: Program, words: tuple[str, ...]) -> None:
    keep_hostile(program.store)
    for more in ((), ("--json",)):
        result = program(*words, *more)
        assert "Traceback" not in result.err
        assert not steers(result.out + result.err)
    if words[-1] in ("html", "svg"):
        page = program(*words).out
        assert "<script>alert" not in page
        if words[-1] == "svg":
            ET.fromstring(page)


def test_names_with_markup_are_printed_as_they_are(program: Program) -> None:
    keep_hostile(program.store)
    assert MARKUP in program("report").out
    assert program.json("setup")["player"] == MARKUP


def test_an_export_runs_in_no_spreadsheet_and_steers_no_terminal(program: Program, tmp_path: Path) -> None:
    keep_hostile(program.store)
    assert program("export", str(tmp_path / "out")).code == 0
    texts = {path.name: path.read_text(encoding="utf-8") for path in (tmp_path / "out").iterdir()}
    assert any(FORMULA.lower() in text for text in texts.values())
    for name, text in texts.items():
        assert "\x1b" not in text, name
        if name.endswith(".csv"):
            cells = [cell for row in csv.reader(text.splitlines()) for cell in row]
            assert not [
                cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t")) and not _number(cell)
            ], name


def _number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def on_screen(app: TrainerApp) -> str:
    """All characters that the screen paints."""
    size = app.screen.size
    strips = app.screen._compositor.render_strips(size)
    return "\n".join("".join(segment.text for segment in strip if not segment.control) for strip in strips)


async def test_no_screen_reads_markup_or_paints_a_control(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_hostile(path)
    async with running(path, size=(120, 40)) as (app, pilot):
        await day_is_shown(app, pilot)
        assert MARKUP in words(app, "#head")
        screen = await begun(app, pilot)
        for text in (f"{MARKUP.lower()}: 64 #closer", f"8 iron: 90 {LINK}"):  # the reason names every club of the bag
            line(app).put(text)
            await pilot.press("enter")
            await until(pilot, lambda: "not kept" in on_screen(app), "the refusal")
            assert not steers(on_screen(app))
        await typed(screen, pilot, "8 iron: 120")
        await settled(app, pilot)
        assert not steers(on_screen(app))
        assert app.is_running
        await pilot.press("escape", "e")
        await day_is_shown(app, pilot)
        for what in DIGITS:
            await go(app, pilot, what)
            await settled(app, pilot)
            assert not steers(on_screen(app)), what
            assert "owned" not in (app.title or "")


async def test_what_is_typed_with_markup_is_repeated_as_typed(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        for text in (LINK, MARKUP, "[/]", "[", f"skip {MARKUP}"):
            line(app).put(text)
            await pilot.pause()
            assert text in on_screen(app)
        assert screen.view.hit == 0
