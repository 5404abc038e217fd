"""Looking at what is known: read anew only after a change, locked in a round, equal to the tables it draws."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from tests.tui.helpers import START
from tests.tui.look_helpers import keep_evenings
from trainer.application.choosing.rounds import end_round, start_round
from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.gapping import gaps_between, overlaps_among
from trainer.application.estimates.snapshot import snapshot
from trainer.application.looking import Looking, Shelf, save_card
from trainer.application.session.recording import begin
from trainer.application.views.look import CardView
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import CALM_WIND
from trainer.core.errors import InputError
from trainer.store.store import open_store


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("store") / "t.db"
    keep_evenings(path)
    return path


@pytest.fixture(scope="module")
def looking() -> Looking:
    return Looking()


def test_the_store_is_read_anew_only_where_it_changed(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_evenings(path)
    shelf = Shelf(path, None)
    first = shelf.take(START)
    assert shelf.take(START + timedelta(minutes=1)).history is first.history
    with open_store(path, write=True) as held:
        begin(held, None, StatedConditions(), START).line("6 iron: 141", START)
        # Still open: what is committed is seen through the write-ahead log.
        assert len(shelf.take(START).history.shots) == len(first.history.shots) + 1


def test_all_of_the_past_is_read_where_it_is_asked_for(store: Path) -> None:
    shelf = Shelf(store, None)
    held = shelf.take(START)
    with pytest.raises(RuntimeError):
        _ = held.whole
    whole = shelf.take(START, whole=True)
    assert whole.whole.history is held.history
    assert shelf.take(START).past is None


def test_a_round_locks_everything_but_the_card(tmp_path: Path, looking: Looking) -> None:
    path = tmp_path / "t.db"
    keep_evenings(path)
    with open_store(path, write=True) as held:
        start_round(held, None, START, {"text": "card", "html": "<html>", "svg": "<svg>", "json": "{}"})
    shelf = Shelf(path, None)
    with pytest.raises(InputError, match="round"):
        shelf.take(START)
    locked = shelf.take(START, whole=True, in_a_round=True)
    card = looking.card(locked, "9 iron")
    assert (card.text, card.html, card.svg) == ("card", "<html>", "<svg>")
    assert card.locked
    with open_store(path, write=True) as held:
        end_round(held, None, START)
    assert shelf.take(START).lock is None


def test_the_tables_say_what_the_snapshot_says(store: Path, looking: Looking) -> None:
    held = Shelf(store, None).take(START)
    view = looking.gaps(held, "14mph 1h")
    table = snapshot(held.history, StatedConditions(), START, known=looking.known(held))
    assert {row.cell for row in view.every_today.rows} == {figures.cell for figures in table.cells}
    for tables in (view.few_still, view.few_today, view.every_still, view.every_today):
        assert all(0 <= row.bar.low <= row.bar.middle <= row.bar.high <= 1 for row in tables.rows)
        assert [row.bar.middle for row in tables.rows] == sorted(row.bar.middle for row in tables.rows)
    calm = looking.gaps(held, "calm")
    holes = [row.cell for row in calm.every_today.rows if row.beyond is not None]
    now = snapshot(held.history, StatedConditions(wind=CALM_WIND), START, known=looking.known(held))
    assert holes == [gap.shorter for gap in gaps_between(now.cells)]
    twins = {row.cell for row in calm.every_today.rows if row.twins}
    assert twins == {cell for overlap in overlaps_among(now.cells) for cell in overlap.cells}


def test_full_and_low_are_each_others_kind(store: Path, looking: Looking) -> None:
    held = Shelf(store, None).take(START)
    full = looking.beside(held, Cell("7 iron"), "")
    low = looking.beside(held, Cell("5 iron", 0.0254, Swing.THREE_QUARTER), "")
    longest = looking.beside(held, Cell(held.history.profile.bag.clubs[0].name), "")
    assert "three-quarter" in full.typed.split("; ")[1]
    assert "three-quarter" not in low.typed.split("; ")[1]
    assert longest.typed.split("; ")[0] in longest.typed.split("; ")[1]
    for path in (*full.side, *full.above):
        assert all(0 <= along <= 1 and 0 <= aside <= 1 for along, aside in path)
        assert path[0][0] == 0


def test_a_left_wind_drifts_to_the_right_on_the_picture(store: Path, looking: Looking) -> None:
    held = Shelf(store, None).take(START)
    for wind, up in (("15mph 3h", True), ("15mph 9h", False)):
        ends = [path[-1][1] for path in looking.beside(held, Cell("7 iron"), wind).above]
        assert all((end > 0.5) == up for end in ends), "left of the line is drawn up"


def test_a_ball_is_worked_back_to_still_air(store: Path, looking: Looking) -> None:
    held = Shelf(store, None).take(START)
    view = looking.cell(held, Cell("7 iron"), "")
    assert view.pattern is not None
    assert len(view.estimate.still.heights) == len(view.estimate.today.heights)
    assert max(view.estimate.still.heights) == 1
    # Two evenings of five balls, one of each marked as a mishit: those are no evidence of the carry.
    assert len(view.estimate.balls) == 8
    assert sum(point.kind == "mishit" for point in view.pattern.points) == 2


def test_the_posterior_is_learned_once_a_day(store: Path) -> None:
    fresh, shelf = Looking(), Shelf(store, None)
    first = fresh.known(shelf.take(START))
    assert fresh.known(shelf.take(START + timedelta(minutes=5))) is first
    assert fresh.known(shelf.take(START + timedelta(days=1))) is not first


def test_a_card_is_written_whole_and_never_over_another(tmp_path: Path) -> None:
    card = CardView("text", "<html>", "<svg>")
    assert save_card(card, str(tmp_path / "a.svg")).read_text(encoding="utf-8") == "<svg>\n"
    for name in ("a.svg", "a.doc", "", "no/such/folder/a.txt"):
        with pytest.raises(InputError):
            save_card(card, str(tmp_path / name) if name else "")


def test_a_card_for_a_home_that_nobody_has_is_refused() -> None:
    with pytest.raises(InputError):
        save_card(CardView("text", "html", "svg"), "~nobody-of-this-name/card.txt")
