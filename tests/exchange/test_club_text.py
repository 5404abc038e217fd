"""Clubs written any usual way, found in the bag or refused."""

from __future__ import annotations

import pytest

from tests.exchange.messy_tables import BAG, SPELLINGS
from trainer.core.bag import Bag, Club
from trainer.core.errors import InputError
from trainer.core.units import to_si
from trainer.exchange.club_text import club_meant


@pytest.mark.parametrize(("club", "text"), [(club, text) for club, texts in SPELLINGS.items() for text in texts])
def test_usual_spellings(club: str, text: str) -> None:
    assert club_meant(text, BAG).name == club


@pytest.mark.parametrize("text", ["8i", "SW", "52°", "spoon", "", "77 iron", "i", "7", "°", "SW 56°", "L", "5 wood"])
def test_clubs_that_the_bag_does_not_hold(text: str) -> None:
    with pytest.raises(InputError):
        club_meant(text, BAG)


def test_the_players_own_name_goes_before_any_spelling() -> None:
    bag = Bag((Club("p", to_si(60, "deg"), 0.9, 60.0), *BAG.clubs))
    assert club_meant("P", bag).name == "p"


def test_two_clubs_of_one_loft_are_not_guessed_between() -> None:
    bag = Bag((*BAG.clubs, Club("spare", to_si(50, "deg"), 0.9, 94.0)))
    with pytest.raises(InputError, match="more than one"):
        club_meant("50°", bag)
