"""What each age band allows."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.core.profile import AgeBand

MOST_BALLS: Mapping[AgeBand, int] = {
    AgeBand.UNDER_11: 30,
    AgeBand.FROM_11: 40,
    AgeBand.FROM_14: 50,
    AgeBand.FROM_16: 65,
}
"""Balls of a junior's session, the warm-up in it (common practice, no source)."""

JUNIOR_MOST_MINUTES = 60
JUNIOR_MIX_SHARE = 0.40
"""Most of a junior's balls that may be mixed or tested: random practice did little for the young (Czyż 2024, Front.
Psychol. 15: standardised mean difference 0.12)."""

JUNIOR_MOST_GRIP_M = 0.0255
"""An inch: two are too much on a cut-down club (common practice)."""
