"""A cell's delivery as the player's own strikes show it: launch and spin give way, the carry stays."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trainer.core.constants import BALL_RADIUS_M
from trainer.core.flight.delivery import Delivery, ball_speed_for_still_carry
from trainer.core.flight.limits import LIMITS, require_finite
from trainer.core.flight.trajectory import Launch, fly


def shifted(prior: Delivery, launch_rad: ArrayLike, log_spin_ratio: ArrayLike) -> Delivery:
    """`prior` launched higher by `launch_rad` and with its spin ratio times exp(`log_spin_ratio`); all broadcast.

    The ball is hit as much harder as keeps its carry in still reference air, which is the club model's to learn.
    Raises InputError where no ball speed does.
    """
    launch = prior.launch
    angle, ratio = np.asarray(launch.launch_rad), _spin_ratio(launch)
    low, high, _ = LIMITS["launch angle"]
    angle = np.clip(angle + require_finite(launch_rad, "launch angle"), low, high)
    ratio = ratio * np.exp(require_finite(log_spin_ratio, "spin"))
    speed = ball_speed_for_still_carry(fly(launch).carry_m, angle, ratio)
    own = Launch(speed, angle, ratio * speed / BALL_RADIUS_M, launch.start_direction_rad, launch.axis_tilt_rad)
    return Delivery(own, prior.launch_sd_rad, prior.log_spin_sd, prior.log_ball_speed_sd, prior.scatter)


def _spin_ratio(launch: Launch) -> NDArray[np.float64]:
    return np.asarray(np.asarray(launch.spin_rad_s) * BALL_RADIUS_M / np.asarray(launch.ball_speed_mps))
