"""How steeply a ball comes down, and by how much that differs: from strike to strike, and from player to player."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.conditions import REFERENCE_AIR, Air
from trainer.core.constants import Z80
from trainer.core.flight.delivery import Delivery
from trainer.core.flight.limits import LIMITS, Floats, with_last_axis
from trainer.core.flight.scatter import CLUB_GOLFER, StrikeSpread
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import STILL, WindField


@dataclass(frozen=True, slots=True)
class Descent:
    """Descent angle below the horizontal, rad, each (c,): of the reference delivery, and the ends of 80 %."""

    median_rad: Floats
    low80_rad: Floats
    high80_rad: Floats


def descent_range(
    delivery: Delivery,
    wind: WindField = STILL,
    air: Air = REFERENCE_AIR,
    spread: StrikeSpread | None = CLUB_GOLFER,
) -> Descent:
    """Descent of deliveries (c,) in winds (c,), with what is not known of launch and spin, and the strikes' scatter.

    Without `spread` it is the descent of the middle of the strikes. Speed, launch and spin are each flown √3 s.d. to
    either side, interactions left out; what they do flatter and steeper is taken as one half of a normal each. A
    player's ball speed is not doubted: his carry tells it. Raises InputError outside the flight's ranges.
    """
    scale = delivery.scatter if spread is not None else np.zeros_like(delivery.scatter)
    strike = CLUB_GOLFER if spread is None else spread
    sds = (
        strike.log_ball_speed * scale,
        np.hypot(strike.launch_rad * scale, delivery.launch_sd_rad),
        np.hypot(strike.log_spin * scale, delivery.log_spin_sd),
    )
    signs = np.zeros((3, 7))
    for row in range(3):
        signs[row, 1 + 2 * row], signs[row, 2 + 2 * row] = np.sqrt(3.0), -np.sqrt(3.0)
    steps = [with_last_axis(sd) * sign for sd, sign in zip(sds, signs, strict=True)]
    low, high, _ = LIMITS["launch angle"]
    launch = delivery.launch
    flight = fly(
        Launch(
            with_last_axis(launch.ball_speed_mps) * np.exp(steps[0]),
            np.clip(with_last_axis(launch.launch_rad) + steps[1], low, high),
            with_last_axis(launch.spin_rad_s) * np.exp(steps[2]),
        ),
        wind.for_strikes(),
        air,
    )
    middle, outer = flight.descent_rad[..., 0], flight.descent_rad[..., 1:].reshape(*sds[0].shape, 3, 2)
    apart = (outer - middle[..., None, None]) / np.sqrt(3.0)
    flatter, steeper = (Z80 * np.sqrt((side**2).sum(axis=-1)) for side in (apart.min(axis=-1), apart.max(axis=-1)))
    return Descent(middle, np.maximum(middle - flatter, 0.0), np.minimum(middle + steeper, np.pi / 2))
