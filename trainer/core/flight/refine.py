"""A cell's delivery as the player's own launch data come in: the prior gives way to what was measured."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from trainer.core.errors import InputError
from trainer.core.flight.delivery import Delivery
from trainer.core.flight.limits import Floats, require_finite, require_limit
from trainer.core.flight.scatter import CLUB_GOLFER, StrikeSpread
from trainer.core.flight.trajectory import Launch


def with_launch_data(
    prior: Delivery,
    measured: Launch,
    balls: ArrayLike,
    spread: StrikeSpread = CLUB_GOLFER,
    launch_error_rad: ArrayLike = 0.0,
    log_spin_error: ArrayLike = 0.0,
    log_ball_speed_error: ArrayLike = 0.0,
) -> Delivery:
    """The delivery after `balls` strikes whose mean ball speed, launch and spin were `measured`; all broadcast.

    Normal updates of launch, log spin and log ball speed, each on its own: from ball to ball they scatter by `spread`
    times the cell's `scatter`, and each measurement errs by its `…_error`. Where `balls` is 0 the prior stays,
    whatever is measured. Raises InputError for a measurement out of range.
    """
    count = require_finite(balls, "number of balls")
    if not (count >= 0).all():
        raise InputError("a number of balls is negative", "", "give 0 or more")
    launch, launch_sd = _update(
        require_limit(prior.launch.launch_rad, "launch angle"),
        prior.launch_sd_rad,
        require_limit(measured.launch_rad, "launch angle"),
        np.hypot(spread.launch_rad * prior.scatter, launch_error_rad),
        count,
    )
    log_spin, spin_sd = _update(
        np.log(np.maximum(prior.launch.spin_rad_s, 1.0)),
        prior.log_spin_sd,
        np.log(np.maximum(require_limit(measured.spin_rad_s, "spin"), 1.0)),
        np.hypot(spread.log_spin * prior.scatter, log_spin_error),
        count,
    )
    log_speed, speed_sd = _update(
        np.log(prior.launch.ball_speed_mps),
        prior.log_ball_speed_sd,
        np.log(require_limit(measured.ball_speed_mps, "ball speed")),
        np.hypot(spread.log_ball_speed * prior.scatter, log_ball_speed_error),
        count,
    )
    scatter = np.broadcast_to(prior.scatter, launch.shape).copy()
    own = Launch(
        np.exp(log_speed), launch, np.exp(log_spin), prior.launch.start_direction_rad, prior.launch.axis_tilt_rad
    )
    return Delivery(own, launch_sd, spin_sd, speed_sd, scatter)


def _update(prior: Floats, prior_sd: Floats, mean: Floats, sd: Floats, balls: Floats) -> tuple[Floats, Floats]:
    """Mean and s.d. of a normal mean after `balls` normal observations of mean `mean`."""
    precision = 1 / prior_sd**2
    gained = balls / sd**2
    total = precision + gained
    return np.asarray((precision * prior + gained * mean) / total), np.asarray(1 / np.sqrt(total))
