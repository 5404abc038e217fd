"""The Gaussian update against closed forms and an independent solver."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from trainer.core.errors import InputError
from trainer.core.estimate.evidence import CellSet, Evidence, Floats, Ints, Setting
from trainer.core.estimate.forecast import (
    Z80,
    carry_in,
    still_air_carry,
    wind_floor_m,
    wind_response_contraction,
    wind_share,
)
from trainer.core.estimate.linear import MEASURED, Layout, Prior, Scales, cell_rows, fit

CLUBS = 4


def cells() -> CellSet:
    """Four clubs × two grips × three swings."""
    rows = [(club, grip, swing) for club in range(CLUBS) for grip in (0.0, 1.0) for swing in range(3)]
    club, grip, swing = (np.array(column) for column in zip(*rows, strict=True))
    return CellSet(
        loft_deg=np.array([26.0, 30.0, 34.0, 38.0]),
        stock_carry_m=np.array([154.0, 146.0, 137.0, 128.0]),
        club=club.astype(np.int64),
        grip_down_in=grip,
        three_quarter=(swing == 1).astype(np.float64),
        half=(swing == 2).astype(np.float64),
    )


def evidence(
    n: int, rng: np.random.Generator, *, cell: int | None = None, readings: int = 2, days: int = 2
) -> Evidence:
    which = rng.integers(0, CLUBS * 6, n) if cell is None else np.full(n, cell)
    each = np.arange(n)
    return Evidence(
        cell=which.astype(np.int64),
        reading=(each % readings).astype(np.int64),
        day=(each % days).astype(np.int64),
        carry_m=rng.uniform(90, 160, n),
        wind_log=rng.uniform(-0.2, 0.1, n),
        wind_slope_per_mps=rng.uniform(0.005, 0.03, n),
        seen_sd_log=rng.uniform(0.01, 0.06, n),
        range_ball=(each % 3 == 0).astype(np.float64),
        mat=(each % 2).astype(np.float64),
        computed=np.zeros(n),
        reading_sd_mps=np.full(readings, 1.5),
        days=days,
    )


def chosen(shots: Evidence, which: Ints) -> Evidence:
    """Those shots alone, or all of them in another order."""
    return Evidence(
        shots.cell[which], shots.reading[which], shots.day[which], shots.carry_m[which], shots.wind_log[which],
        shots.wind_slope_per_mps[which], shots.seen_sd_log[which], shots.range_ball[which], shots.mat[which],
        shots.computed[which], shots.reading_sd_mps, shots.days,
    )  # fmt: skip


def nothing() -> Evidence:
    none = np.zeros(0)
    whole = np.zeros(0, dtype=np.int64)
    return Evidence(whole, whole, whole, none, none, none, none, none, none, none, np.zeros(0), 0)


def only_alpha(shot_sd: float) -> Scales:
    tiny = 1e-7
    return Scales(
        alpha=Prior(0.0, 0.04), loft_curve_sd=tiny, grip_per_in=Prior(0, tiny), three_quarter=Prior(0, tiny),
        half=Prior(0, tiny), club_sd=tiny, club_grip_sd_per_in=tiny, club_swing_sd=tiny, cell_sd=tiny,
        wind_response=Prior(1.0, tiny), day_sd=tiny, range_ball=Prior(0, tiny), mat=Prior(0, tiny),
        computed=Prior(0, tiny), shot_sd=shot_sd,
    )  # fmt: skip


def test_one_unknown_mean_equals_the_closed_form() -> None:
    rng = np.random.default_rng(1)
    n, sd = 12, 0.05
    shots = evidence(n, rng, cell=0, readings=1, days=1)
    exact = replace(
        shots,
        seen_sd_log=np.zeros(n),
        wind_slope_per_mps=np.zeros(n),
        range_ball=np.zeros(n),
    )
    posterior = fit(cells(), exact, only_alpha(sd))
    z = np.log(exact.carry_m / 154.0) - exact.wind_log
    precision = 1 / 0.04**2 + n / sd**2
    assert posterior.mean[0] == pytest.approx(z.sum() / sd**2 / precision, abs=1e-6)
    assert posterior.covariance[0, 0] == pytest.approx(1 / precision, rel=1e-4)
    # The same interval from scipy's normal.
    low, high = stats.norm(posterior.mean[0], precision**-0.5).interval(0.8)
    still = still_air_carry(cells(), posterior)
    assert still.low80[0] == pytest.approx(154 * np.exp(low), rel=1e-4)
    assert still.high80[0] == pytest.approx(154 * np.exp(high), rel=1e-4)


def test_the_posterior_equals_conditioning_the_joint_normal() -> None:
    """Kriging form: another algebra (n × n, not p × p) for the same conditional distribution."""
    rng = np.random.default_rng(2)
    shots, setup = evidence(25, rng), cells()
    posterior = fit(setup, shots, MEASURED)
    prior = fit(setup, nothing_like(shots), MEASURED)
    design = rows_of(shots, setup)
    noise = np.diag(MEASURED.shot_sd**2 + shots.seen_sd_log**2)
    gain = prior.covariance @ design.T @ np.linalg.inv(design @ prior.covariance @ design.T + noise)
    z = np.log(shots.carry_m / setup.stock_carry_m[setup.club[shots.cell]])
    np.testing.assert_allclose(posterior.mean, prior.mean + gain @ (z - design @ prior.mean), atol=1e-8)
    np.testing.assert_allclose(posterior.covariance, prior.covariance - gain @ design @ prior.covariance, atol=1e-8)


def nothing_like(shots: Evidence) -> Evidence:
    """No shots, but the same readings and days."""
    none = nothing()
    return replace(
        none,
        reading_sd_mps=shots.reading_sd_mps,
        days=shots.days,
    )


def rows_of(shots: Evidence, setup: CellSet) -> Floats:
    layout = Layout(CLUBS, len(setup), len(shots.reading_sd_mps), shots.days)
    design = cell_rows(setup, layout, MEASURED)[shots.cell]
    design[:, layout.KAPPA] = shots.wind_log
    design[:, layout.RANGE_BALL] = shots.range_ball
    design[:, layout.MAT] = shots.mat
    for i in range(len(shots)):
        design[i, layout.reading_start + shots.reading[i]] = shots.wind_slope_per_mps[i]
        design[i, layout.day_start + shots.day[i]] = 1.0
    return design


def test_neither_order_nor_chunks_matter() -> None:
    rng = np.random.default_rng(3)
    shots = evidence(40, rng)
    order = rng.permutation(40)
    shuffled = chosen(shots, order)
    one, two, three = fit(cells(), shots), fit(cells(), shuffled), fit(cells(), shots, chunk=7)
    np.testing.assert_allclose(one.mean, two.mean, atol=1e-10)
    np.testing.assert_allclose(one.mean, three.mean, atol=1e-10)


def test_more_shots_never_widen_an_interval() -> None:
    rng = np.random.default_rng(4)
    many = evidence(60, rng)
    few = chosen(many, np.arange(30))
    sd_few, sd_many = (
        np.sqrt(np.einsum("ij,jk,ik->i", p.cell_rows, p.covariance, p.cell_rows))
        for p in (fit(cells(), few), fit(cells(), many))
    )
    assert np.all(sd_many <= sd_few + 1e-12)


def test_wind_share_is_the_variance_that_knowing_the_wind_would_take() -> None:
    shots = evidence(30, np.random.default_rng(5))
    posterior = fit(cells(), shots)
    share = wind_share(posterior)
    layout = posterior.layout
    wind = np.r_[layout.KAPPA, layout.reading_start : layout.day_start]
    # Condition the joint normal on the wind terms and look at what is left of each cell's variance.
    cross = posterior.cell_rows @ posterior.covariance[:, wind]
    left = np.diag(
        posterior.cell_rows @ posterior.covariance @ posterior.cell_rows.T
        - cross @ np.linalg.inv(posterior.covariance[np.ix_(wind, wind)]) @ cross.T
    )
    whole = np.einsum("ij,jk,ik->i", posterior.cell_rows, posterior.covariance, posterior.cell_rows)
    np.testing.assert_allclose(share, 1 - left / whole, atol=1e-9)
    assert np.all((share >= 0) & (share <= 1))


def test_a_thousand_balls_in_one_wind_come_down_to_its_floor() -> None:
    rng = np.random.default_rng(6)
    n, cell = 1000, 12
    shots = evidence(n, rng, cell=cell, readings=1, days=1)
    one_wind = replace(
        shots,
        wind_log=np.full(n, -0.15),
        wind_slope_per_mps=np.full(n, 0.03),
        carry_m=np.full(n, 118.0),
    )
    posterior = fit(cells(), one_wind)
    still = still_air_carry(cells(), posterior)
    half = (still.high80[cell] - still.low80[cell]) / 2
    floor = wind_floor_m(cells(), posterior)[cell]
    assert half == pytest.approx(floor, rel=0.1)
    assert floor > 4.0


def test_today_with_its_reading_is_what_was_seen() -> None:
    n, cell = 200, 12
    rng = np.random.default_rng(7)
    shots = evidence(n, rng, cell=cell, readings=1, days=1)
    seen = replace(
        shots,
        wind_log=np.full(n, -0.15),
        wind_slope_per_mps=np.full(n, 0.03),
        carry_m=np.full(n, 118.0),
        range_ball=np.zeros(n),
        mat=np.zeros(n),
    )
    posterior = fit(cells(), seen)
    flat = np.ones(len(cells()))
    today = carry_in(cells(), posterior, Setting(-0.15 * flat, 0.03 * flat, reading=0, day=0))
    assert today.median[cell] == pytest.approx(118.0, rel=0.005)
    stated = carry_in(cells(), posterior, Setting(-0.15 * flat, 0.03 * flat))
    assert np.log(today.high80[cell] / today.low80[cell]) < np.log(stated.high80[cell] / stated.low80[cell])


def test_nothing_known_is_the_prior() -> None:
    posterior = fit(cells(), nothing())
    still = still_air_carry(cells(), posterior)
    three_quarter = 1
    assert still.median[0] == pytest.approx(154.0)
    assert still.median[three_quarter] == pytest.approx(154.0 * 0.90)
    assert wind_response_contraction(posterior) == pytest.approx(0.0, abs=1e-9)
    assert stats.norm.cdf(Z80) - stats.norm.cdf(-Z80) == pytest.approx(0.8)


@pytest.mark.parametrize("bad", [0.0, -5.0, np.nan, np.inf])
def test_a_carry_that_is_none_is_refused(bad: float) -> None:
    shots = evidence(5, np.random.default_rng(8))
    shots.carry_m[2] = bad
    with pytest.raises(InputError):
        fit(cells(), shots)
