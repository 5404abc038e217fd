"""What the agenda is told of a player beside his plan: age, past shots, and what is believed of his carries."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from trainer.core.profile import AgeBand
from trainer.core.schedule.information import GOAL_HALF_WIDTH_M, Beliefs
from trainer.core.schedule.progress import ADULT_RULES, JUNIOR_RULES, PastShot, StageRules


@dataclass(frozen=True, slots=True, eq=False)
class Knowledge:
    """One player on one day. `beliefs` of None leaves the choice of cells to the blocks."""

    today: date
    beliefs: Beliefs | None = None
    past: tuple[PastShot, ...] = ()
    age_band: AgeBand = AgeBand.ADULT
    goal_half_width_m: float = GOAL_HALF_WIDTH_M

    @property
    def rules(self) -> StageRules:
        """The rules by which a cell moves on."""
        return JUNIOR_RULES if self.age_band.is_junior else ADULT_RULES
