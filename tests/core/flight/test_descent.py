"""How steeply balls come down, and by how much that differs."""

from __future__ import annotations

import numpy as np
import pytest

from trainer.core.bag import Swing
from trainer.core.flight.delivery import Delivery, reference_delivery
from trainer.core.flight.descent import descent_range
from trainer.core.flight.limits import LIMITS
from trainer.core.flight.scatter import CLUB_GOLFER
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import WindField

INCH, YARD, DEGREE = 0.0254, 0.9144, np.pi / 180


def deliveries() -> Delivery:
    """A full mid iron, and the low shot of a longer one."""
    return reference_delivery(
        np.array([34.0, 27.0]) * DEGREE,
        np.array([150.0, 170.0]) * YARD,
        np.array([0.0, INCH]),
        np.array([Swing.FULL, Swing.THREE_QUARTER], dtype=object),
    )


def wind(along: float) -> WindField:
    return WindField(np.full(2, along), np.zeros(2), np.full(2, 2.0))


@pytest.mark.parametrize("along", [-7.0, 0.0, 5.0])
def test_the_range_is_that_of_random_players_and_strikes(along: float) -> None:
    # quadrature and a normal shape against 6,000 random flights each
    given, field = deliveries(), wind(along)
    found = descent_range(given, field)
    draws = np.random.default_rng(2).normal(size=(5, 6_000, 1))
    low, high, _ = LIMITS["launch angle"]
    turned = given.launch_sd_rad * draws[3] + CLUB_GOLFER.launch_rad * given.scatter * draws[1]
    spun = given.log_spin_sd * draws[4] + CLUB_GOLFER.log_spin * given.scatter * draws[2]
    launch = Launch(
        given.launch.ball_speed_mps * np.exp(CLUB_GOLFER.log_ball_speed * given.scatter * draws[0]),
        np.clip(given.launch.launch_rad + turned, low, high),
        given.launch.spin_rad_s * np.exp(spun),
    )
    random = np.quantile(fly(launch, field).descent_rad, (0.1, 0.5, 0.9), axis=0)
    np.testing.assert_allclose([found.low80_rad, found.median_rad, found.high80_rad], random, atol=1.0 * DEGREE)


def test_the_middle_of_the_strikes_is_known_better_than_one_ball() -> None:
    one, middle = descent_range(deliveries(), wind(-5.0)), descent_range(deliveries(), wind(-5.0), spread=None)
    assert (one.high80_rad - one.low80_rad > middle.high80_rad - middle.low80_rad).all()
    np.testing.assert_allclose(one.median_rad, middle.median_rad)
    assert (middle.low80_rad < middle.median_rad).all()
    assert (middle.median_rad < middle.high80_rad).all()


def test_the_low_shot_comes_down_flatter() -> None:
    # common practice, no source: 8 to 15 degrees shallower than a full shot of the same carry
    found = descent_range(deliveries(), wind(0.0)).median_rad / DEGREE
    assert 5 < found[0] - found[1] < 18
