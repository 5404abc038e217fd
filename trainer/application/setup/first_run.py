"""The first start: three answers make a player with a whole bag."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from trainer.application.setup.proposed_bag import DEFAULT_ALIAS, propose_bag
from trainer.core.errors import InputError
from trainer.core.profile import CarryBasis, Hand, KnownCarry, Profile
from trainer.core.units import UnitChoice, parse_quantity, require_range, to_si
from trainer.exchange.profile_toml import require_alias
from trainer.store.records import PlayerRecord
from trainer.store.store import Store


class HowKnown(StrEnum):
    """How a carry came to be known. Paced is measured: somebody walked it."""

    MEASURED = "measured"
    PACED = "paced"
    REMEMBERED = "remembered"

    @property
    def basis(self) -> CarryBasis:
        """What the club model is told."""
        return CarryBasis.REMEMBERED if self is HowKnown.REMEMBERED else CarryBasis.MEASURED


@dataclass(frozen=True, slots=True)
class FirstAnswers:
    """What was answered: units, one known carry as typed, the hand."""

    distance_unit: str
    club: str
    carry: str
    how: HowKnown
    hand: Hand


def make_profile(answers: FirstAnswers, alias: str | None = None) -> Profile:
    """The profile that the answers come to. Raises InputError for a carry that is none."""
    units = UnitChoice.following(answers.distance_unit)
    if not answers.carry.strip():
        raise InputError("one known carry is needed", "carry", f"type how far your {answers.club} flies, such as 150")
    carry_m = parse_quantity(answers.carry, "length", units.distance, "carry")
    require_range(carry_m, to_si(20, "yd"), to_si(350, "yd"), units.distance, "a carry", "carry")
    known = KnownCarry(answers.club, carry_m, answers.how.basis)
    named = DEFAULT_ALIAS if alias is None else require_alias(alias, "--player")
    return Profile(named, propose_bag(known, units.distance), known, units=units, hand=answers.hand)


def keep_player(store: Store, answers: FirstAnswers, at: datetime, alias: str | None = None) -> PlayerRecord:
    """Put the player into the store."""
    return store.save_profile(make_profile(answers, alias), at)
