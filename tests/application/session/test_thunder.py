"""The wait after thunder: half an hour from the last, never said to be over earlier, and the place's rules decide."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from trainer.application.session.thunder import may_go_on_at, wait_words

HEARD = datetime(2026, 5, 14, 18, 40)


@pytest.mark.parametrize("minutes", [0, 1, 29, 29.99])
def test_it_waits_half_an_hour(minutes: float) -> None:
    words = wait_words(HEARD, HEARD + timedelta(minutes=minutes))
    assert "19:10" in words
    assert "facility" in words
    assert "local rules" in words.lower()


@pytest.mark.parametrize("minutes", [30, 31, 600])
def test_it_is_over_after_half_an_hour(minutes: float) -> None:
    assert wait_words(HEARD, HEARD + timedelta(minutes=minutes)) == ""


def test_it_goes_on_when_the_wait_is_over() -> None:
    # Walsh et al. 2013, J. Athl. Train. 48, 258-270: 30 minutes from the last thunder.
    assert may_go_on_at(HEARD) == HEARD + timedelta(minutes=30)
