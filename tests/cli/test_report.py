"""`trainer report`: one page, nothing over another, no change claimed that is not shown, nobody ranked."""

from __future__ import annotations

import re
import stat
from pathlib import Path

import pytest

from tests.cli.program import Program
from tests.exchange.drawn import (
    assert_no_two_texts_share_a_place,
    assert_on_the_page,
    boxes_of,
    pages_of,
    texts_of,
)

YARD_M = 0.9144
WIND = ("--wind", "14mph", "--wind-from", "1h")


def with_two_evenings(store: Path) -> Program:
    """A player with two evenings in two winds."""
    player = Program(store)
    assert player("setup", "--from-carry", "7 iron=150yd").code == 0
    for day, wind in (("2026-05-10", "wind 12mph 1h"), ("2026-05-13", "wind 9mph 6h")):
        lines = ["7 iron: 138 4R", "7 iron, 1 in, three-quarter: 121", "5 iron, 2 in, half: x", "9 iron: 117"]
        player.hit(wind, *lines * 3, options=("--when", f"{day}T18:00"))
    return player


@pytest.fixture(scope="module")
def hitter(tmp_path_factory: pytest.TempPathFactory) -> Program:
    """The player with two evenings; no test adds to them."""
    return with_two_evenings(tmp_path_factory.mktemp("hitter") / "store.db")


def squeezed(text: str) -> str:
    """`text` without blanks and hyphens: the same however it is broken into lines."""
    return re.sub(r"[\s-]", "", text)


def test_the_page_holds_together(hitter: Program) -> None:
    (page,) = pages_of(hitter("report", "--format", "html", *WIND).out)
    assert_on_the_page(page)
    assert_no_two_texts_share_a_place(page)


def test_the_bars_stand_where_the_table_says(hitter: Program) -> None:
    (page,) = pages_of(hitter("report", "--format", "html", *WIND).out)
    table = hitter.json("gaps", *WIND)["cells"]
    bars = boxes_of(page)
    ticks = {
        float(each.text): (each.left + each.right) / 2
        for each in texts_of(page)
        if each.text.isdigit() and each.left > 130
    }
    (low, low_mm), *_, (high, high_mm) = sorted(ticks.items())

    def yards(mm: float) -> float:
        return low + (mm - low_mm) / (high_mm - low_mm) * (high - low)

    wanted = {tuple(cell["carry_today_m"][end] / YARD_M for end in ("low80", "high80")) for cell in table}
    assert len(bars) >= 6
    for bar in bars:
        near = min(max(abs(yards(bar.left) - lo), abs(yards(bar.right) - hi)) for lo, hi in wanted)
        assert near < 0.1  # a fiftieth of a millimetre on the page


def test_each_figure_of_the_page_is_the_tables(hitter: Program) -> None:
    (page,) = pages_of(hitter("report", "--format", "html", *WIND).out)
    words = {each.text for each in texts_of(page)}
    for cell in hitter.json("gaps", *WIND)["cells"]:
        if cell["shots"]:
            carry = cell["carry_today_m"]
            median, low, high = (round(carry[end] / YARD_M) for end in ("median", "low80", "high80"))
            assert f"{median} ({low}–{high})" in words
            assert cell["trust"] in words


def test_the_text_has_80_columns_and_says_what_is_not_known(hitter: Program) -> None:
    text = hitter("report", *WIND).out
    assert max(map(len, text.splitlines())) <= 80
    (page,) = pages_of(hitter("report", "--format", "html", *WIND).out)
    printed = " ".join(each.text for each in texts_of(page))
    advice = hitter.json("gaps", *WIND)["advice"]
    assert advice
    for said in advice:
        assert squeezed(said) in squeezed(text)
        assert squeezed(said) in squeezed(printed)


def test_no_change_is_claimed_that_is_not_shown(hitter: Program) -> None:
    verdicts = {hitter.json("progress")[kind]["verdict"] for kind in ("retention", "transfer", "practice")}
    text = " ".join(hitter("report", *WIND).out.split())
    assert verdicts <= {"not enough balls to tell", "no clear change"}
    assert "closer" not in text
    assert "wider" not in text


def test_with_no_ball_hit_it_says_so_and_still_prints(player: Program) -> None:
    (page,) = pages_of(player("report", "--format", "html").out)
    assert_on_the_page(page)
    assert_no_two_texts_share_a_place(page)
    assert any("No ball is recorded yet" in each.text for each in texts_of(page))


def test_more_shots_than_a_page_holds_leave_those_hit_most(player: Program) -> None:
    clubs = ("4 hybrid", "5 iron", "6 iron", "7 iron", "8 iron", "9 iron", "pitching wedge")
    cells = [f"{club}, {grip}, {swing}" for club in clubs for grip in ("none", "1 in") for swing in ("half", "full")]
    player.hit("7 iron, 2 in, half: 90", *[f"{cell}: 100" for cell in cells], *["7 iron, 2 in, half: 91"] * 4)
    (page,) = pages_of(player("report", "--format", "html", *WIND).out)
    assert_on_the_page(page)
    assert_no_two_texts_share_a_place(page)
    words = [each.text for each in texts_of(page)]
    assert "7 iron, 2 in down, half" in words
    assert any("more shots: trainer gaps" in each for each in words)


def test_it_is_json_too(hitter: Program) -> None:
    data = hitter.json("report", *WIND)
    assert data["gaps"] == hitter.json("gaps", *WIND)
    assert data["progress"] == hitter.json("progress")


def test_out_writes_a_file_of_its_owner_and_never_over_another(hitter: Program, tmp_path: Path) -> None:
    target = tmp_path / "report.html"
    done = hitter("report", "--format", "html", "--out", str(target))
    assert done.code == 0
    assert target.read_text().startswith("<!doctype html>")
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    hitter("report", "--out", str(target)).refused()


def test_a_name_cannot_break_out_of_the_page(program: Program, tmp_path: Path) -> None:
    name = "<script>alert(1)</script>&"
    program("setup", "--from-carry", "7 iron=150yd", "--player", name)
    for words in ((), ("--squad",)):
        target = tmp_path / f"{len(words)}.html"
        assert program("report", *words, "--format", "html", "--out", str(target)).code == 0
        (page,) = pages_of(target.read_text())
        assert "<script" not in target.read_text()
        assert any(name[:8] in each.text for each in texts_of(page))


@pytest.fixture(scope="module")
def squad(tmp_path_factory: pytest.TempPathFactory) -> Program:
    """The player with two evenings, and two who hit little or nothing."""
    program = with_two_evenings(tmp_path_factory.mktemp("squad") / "store.db")
    for alias in ("heron", "Dunlin"):
        assert program("setup", "--from-carry", "7 iron=150yd", "--player", alias).code == 0
    program.hit("7 iron: 120", options=("--player", "heron"))
    return program


def test_the_squad_stands_by_alias_whatever_they_hit(squad: Program) -> None:
    rows = squad.json("report", "--squad")["players"]
    assert [row["player"] for row in rows] == ["Dunlin", "heron", "player"]
    assert [row["balls"] for row in rows] == [0, 1, 24]
    assert [row["balls_last_7_days"] for row in rows] == [0, 1, 24]
    assert rows[0]["last_hit"] is None
    assert rows[0]["least_known_half_width_m"] is None
    assert sum(rows[2]["shots_known"].values()) == 4
    assert [row["player"] for row in squad.json("report", "--squad", "player,Dunlin")["players"]] == [
        "Dunlin",
        "player",
    ]


def test_the_squad_sheet_is_one_page_and_80_columns(squad: Program) -> None:
    (page,) = pages_of(squad("report", "--squad", "--format", "html").out)
    assert_on_the_page(page)
    assert_no_two_texts_share_a_place(page)
    text = squad("report", "--squad").out
    assert max(map(len, text.splitlines())) <= 80
    assert "no ranking" in text


@pytest.mark.parametrize("words", [("--format", "pdf"), ("--squad", "nobody"), ("--when", "soon"), ("--player", "x")])
def test_a_wrong_wish_is_refused(player: Program, words: tuple[str, ...]) -> None:
    player("report", *words).refused()
