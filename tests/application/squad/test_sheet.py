"""The squad sheet at its fullest, and with names that try to leave it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.examples import examples
from tests.exchange.drawn import assert_no_two_texts_share_a_place, assert_on_the_page, pages_of
from trainer.application.estimates.trust import Trust
from trainer.application.squad.sheet import (
    MOST_PLAYERS,
    SquadRow,
    SquadSheet,
    make_squad_sheet,
    squad_html,
    squad_text,
)
from trainer.core.errors import InputError
from trainer.store.store import Store, open_store

NOW = datetime(2026, 5, 14, 18, 30)
KNOWN = tuple((trust, 12) for trust in (Trust.SETTLED, Trust.WORKING, Trust.GUESS, Trust.STALE))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "store.db", write=True) as opened:
        yield opened


@settings(max_examples=examples(20), deadline=None)
@given(st.text(max_size=60), st.text(max_size=60), st.integers(1, MOST_PLAYERS))
def test_however_many_and_whatever_their_names_it_is_one_page(alias: str, widest: str, players: int) -> None:
    row = SquadRow(alias, 99, 9999, 999, NOW, KNOWN, "not enough balls to tell", "wider", widest, 9.0)
    sheet = SquadSheet(NOW, (row,) * players)
    (page,) = pages_of(squad_html(sheet))
    assert_on_the_page(page)
    assert_no_two_texts_share_a_place(page)
    lines = squad_text(sheet).split("\n")
    assert max(map(len, lines)) <= 80
    assert len(lines) - players == len(squad_text(SquadSheet(NOW, ())).split("\n"))


def test_more_players_than_lines_are_refused(store: Store) -> None:
    with pytest.raises(InputError, match="41 players"):
        make_squad_sheet(store, [f"player-{number}" for number in range(MOST_PLAYERS + 1)], None, NOW)
    with pytest.raises(InputError, match="no player"):
        make_squad_sheet(store, [], None, NOW)
