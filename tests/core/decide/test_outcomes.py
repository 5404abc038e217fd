"""Where balls come to rest, beside an independent simulation, in the mirror, and with wider greens."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.core.decide.examples import CELLS, eta_of, flights, plain_traits, posterior_of
from trainer.core.decide.choose import Chances, chances, interval_of
from trainer.core.decide.outcomes import Balls, CellFlights, Doubt, come_to_rest, roll_balls
from trainer.core.decide.target import Target
from trainer.core.errors import InputError
from trainer.core.estimate.diagnostics import Diagnostics, UnreliableEstimateError
from trainer.core.estimate.traits import RatioDraws, SideDraws

BIASED = replace(
    plain_traits(),
    side=SideDraws(np.array([[0.02, 0.01, -0.01, 0.0]]), np.array([0.07]), np.array([1.1]), *[np.zeros((1, 0))] * 2),
)


def balls(seed: int = 1, *, left_handed: bool = False, doubt: Doubt | None = None) -> Balls:
    eta = eta_of() + np.random.default_rng(seed).normal(0, 0.03, (200, len(CELLS)))
    posterior = posterior_of(eta, share=0.1, day_sd=0.02)
    rng = np.random.default_rng(seed)
    return roll_balls(posterior, BIASED, doubt or Doubt(1.0, 1.0), rng, left_handed=left_handed)


def mirrored(flown: CellFlights) -> CellFlights:
    """The same flights in the mirrored wind."""
    turned = {
        name: -getattr(flown, name)
        for name in ("side_m", "side_slope_along", "log_slope_across", "carry_side_correlation")
    }
    return replace(flown, **turned)


@settings(max_examples=30, deadline=None)
@given(
    distance=st.floats(60, 190), front=st.floats(0, 40), back=st.floats(0.1, 40), left=st.floats(-5, 30),
    right=st.floats(5.1, 30), along=st.floats(-10, 10), across=st.floats(-8, 8),
)  # fmt: skip
def test_the_five_add_to_one(
    distance: float, front: float, back: float, left: float, right: float, along: float, across: float
) -> None:
    target = Target(distance, distance - front, distance + back, left, right)
    found = chances(target, come_to_rest(balls(), flights(along, across), 1.5))
    total = found.hold + found.short + found.long + found.left + found.right
    assert total == pytest.approx(np.ones(len(CELLS)), abs=1e-12)
    assert np.all(found.done <= found.hold)


@settings(max_examples=30, deadline=None)
@given(grown=st.tuples(*[st.floats(0, 20)] * 4), along=st.floats(-10, 10), across=st.floats(-8, 8))
def test_a_wider_green_never_holds_less(grown: tuple[float, ...], along: float, across: float) -> None:
    rest = come_to_rest(balls(), flights(along, across), 1.5)
    small = Target(140, 132, 150, 8, 6)
    wide = Target(140, 132 - grown[0], 150 + grown[1], 8 + grown[2], 6 + grown[3])
    assert np.all(chances(wide, rest).hold >= chances(small, rest).hold)


def test_nearer_obstacles_are_carried_oftener() -> None:
    rest = come_to_rest(balls(), flights(-5))
    over = [chances(replace(Target.at(140), carry_over_m=at), rest).over for at in (100.0, 120.0, 140.0)]
    assert np.all(over[0] >= over[1])
    assert np.all(over[1] >= over[2])
    assert np.all(chances(Target.at(140), rest).over == 1)


def test_the_aim_puts_the_middle_of_the_balls_on_the_line() -> None:
    rest = come_to_rest(balls(), flights(-4, 5.0))
    found = chances(Target.at(140), rest)
    assert np.median(rest.side_m + found.aim_side_m, axis=0) == pytest.approx(np.zeros(len(CELLS)), abs=1e-9)
    # a wind from the left pushes to the right: the aim is to the left
    assert np.all(found.aim_side_m < 0)


def test_a_left_handed_player_in_the_mirrored_wind_is_the_mirror_image() -> None:
    target = Target(140, 130, 152, 6, 11)
    flown = flights(-5, 4.0)
    right = chances(target, come_to_rest(balls(), flown, 1.5))
    left = chances(target.mirrored, come_to_rest(balls(left_handed=True), mirrored(flown), 1.5))
    swapped = Chances(
        -left.aim_side_m, left.hold, left.short, left.long, left.right, left.left, left.over, left.done, left.miss_m
    )
    for name in Chances.__dataclass_fields__:
        assert getattr(swapped, name) == pytest.approx(getattr(right, name), abs=1e-12), name
    assert right.left != pytest.approx(right.right, abs=0.01)


def test_a_worked_case_equals_an_independent_simulation() -> None:
    """Everything known but the strike, the gusts and the bounce: drawn again by scipy's own generators."""
    share, gust, cell = 0.12, 2.0, 4
    target = Target(135.0, 126.0, 146.0, 9.0, 7.0, carry_over_m=124.0)
    flown = flights(-6.0, 3.0)
    posterior = posterior_of(eta_of()[None, :], share=share, log_spread=0.2)
    rolled = roll_balls(posterior, plain_traits(), Doubt(), np.random.default_rng(3), players=512, strikes=64)
    rest = come_to_rest(rolled, flown, gust)
    found = chances(target, rest)

    count, at = 400_000, {name: float(getattr(flown, name)[cell]) for name in CellFlights.__dataclass_fields__}
    rng = np.random.default_rng(4)
    rho = at["carry_side_correlation"]
    strike = stats.multivariate_normal([0, 0], [[1, rho], [rho, 1]]).rvs(count, random_state=rng)
    wind = stats.norm(0, gust).rvs((2, count), random_state=rng)
    bad = stats.bernoulli(share).rvs(count, random_state=rng)
    stock, eta = CELLS.stock_carry_m[CELLS.club[cell]], eta_of()[cell]
    middle = eta + at["log_wind"] + at["log_slope_along"] * wind[0] + at["log_slope_across"] * wind[1] - 0.18 * bad
    sd = np.where(bad == 1, posterior.priors.mishit_sd, at["spread_log"] * np.exp(0.2))
    carry = stock * np.exp(middle + sd * strike[:, 0])
    run = stats.norm(at["run_m"], at["run_spread_m"]).rvs(count, random_state=rng)
    side = (at["side_m"] + at["side_slope_across"] * wind[1] + at["side_sd_m"] * strike[:, 1]) * (1 + run / carry)
    side -= np.median(side)
    short, long = carry + run < target.front_m, carry + run > target.back_m
    deep = ~short & ~long
    left, right = deep & (side < -target.left_m), deep & (side > target.right_m)
    expected = {
        "hold": deep & ~left & ~right, "short": short, "long": long, "left": left, "right": right,
        "over": carry >= 124.0,
    }  # fmt: skip
    for name, happened in expected.items():
        # 32,768 balls: one s.d. of a count is 0.0028 at most
        assert getattr(found, name)[cell] == pytest.approx(happened.mean(), abs=0.01), name
    assert interval_of(rest.carry_m).low80[cell] == pytest.approx(np.quantile(carry, 0.1), abs=0.6)


def test_doubt_of_the_wind_and_gusts_widen() -> None:
    def width(doubt: Doubt, gust: float) -> float:
        posterior = posterior_of(np.tile(eta_of(), (300, 1)))
        rest = come_to_rest(roll_balls(posterior, plain_traits(), doubt, np.random.default_rng(1)), flights(-5), gust)
        spread = interval_of(rest.carry_m)
        return float((spread.high80 - spread.low80)[0])

    assert width(Doubt(), 0.0) < width(Doubt(), 2.5) < width(Doubt(3.0, 3.0), 2.5)


def test_the_posteriors_weights_count() -> None:
    eta = np.stack([eta_of(shift=0.0), eta_of(shift=-0.2)])
    posterior = replace(posterior_of(eta), weights=np.array([0.0, 1.0]))
    rest = come_to_rest(roll_balls(posterior, plain_traits(), Doubt(), np.random.default_rng(1)), flights(0))
    stock = CELLS.stock_carry_m[CELLS.club]
    assert np.median(rest.carry_m, axis=0) == pytest.approx(stock * np.exp(eta[1]), rel=0.01)


def test_a_longer_run_moves_the_rest_and_not_the_landing() -> None:
    more = replace(plain_traits(), run=RatioDraws(np.full((1, len(CELLS)), np.log(2.0)), np.array([0.45])))
    one, two = (
        come_to_rest(
            roll_balls(posterior_of(eta_of()[None, :]), traits, Doubt(), np.random.default_rng(1)), flights(0)
        )
        for traits in (plain_traits(), more)
    )
    assert np.array_equal(one.carry_m, two.carry_m)
    assert two.along_m - one.along_m == pytest.approx(np.broadcast_to(flights(0).run_m, one.along_m.shape), abs=1e-9)


def test_an_estimate_that_did_not_settle_is_not_used() -> None:
    unsettled = replace(posterior_of(eta_of()[None, :]), diagnostics=Diagnostics(1.4, 30.0, 20.0, "cell 1"))
    with pytest.raises(UnreliableEstimateError):
        roll_balls(unsettled, plain_traits(), Doubt(), np.random.default_rng(1))


def test_flights_of_other_cells_are_refused() -> None:
    with pytest.raises(InputError, match="other cells"):
        come_to_rest(balls(), flights(0).of(np.array([0, 1])))
