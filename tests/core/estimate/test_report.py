from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from tests.core.estimate.simulate import Truth, bag, hit, plan, player
from tests.reference.draws_score import crps_of_draws
from trainer.core.estimate.diagnostics import Diagnostics, UnreliableEstimateError
from trainer.core.estimate.evidence import CellSet, Setting
from trainer.core.estimate.observations import Observations
from trainer.core.estimate.posterior import Posterior, Sampling, fit
from trainer.core.estimate.priors import ClubPriors
from trainer.core.estimate.report import (
    ball_draws,
    called_range,
    carry_in,
    mishit_share,
    quantiles,
    shot_spread_m,
    still_air_carry,
    wind_floor_m,
    wind_from_balls,
    wind_response_contraction,
    wind_share,
)

RNG = np.random.default_rng


def told(seed: int, shots: int, wind_mps: tuple[float, ...]) -> tuple[CellSet, Observations, Truth]:
    """Balls hit in the winds given, one reading each, all on one day."""
    rng = RNG(seed)
    cells, priors = bag(), ClubPriors()
    asked = plan(rng, cells, shots, days=1, readings_a_day=len(wind_mps))
    wind = np.array(wind_mps)[asked.reading]
    asked = replace(asked, wind_log=0.012 * wind, wind_slope_per_mps=np.full(shots, 0.012))
    truth = replace(player(rng, cells, asked, priors), share=0.05, loss=0.18)
    return cells, hit(rng, cells, asked, truth, priors), truth


@pytest.fixture(scope="module")
def headwind() -> Posterior:
    cells, seen, _ = told(1, 200, (-5.4,))
    return fit(cells, seen, RNG(1), sampling=Sampling(kept=100))


@pytest.fixture(scope="module")
def both_ways() -> Posterior:
    cells, seen, _ = told(1, 200, (-5.4, 5.4))
    return fit(cells, seen, RNG(1), sampling=Sampling(kept=100))


def setting(cells: CellSet, wind_mps: float, **more: object) -> Setting:
    n = len(cells)
    return replace(Setting(np.full(n, 0.012 * wind_mps), np.full(n, 0.012)), **more)  # type: ignore[arg-type]  # fields by name


def test_quantiles_of_equal_weights_are_the_usual_ones() -> None:
    draws = RNG(1).normal(size=4000)
    found = quantiles(draws, np.full(4000, 1 / 4000), (0.1, 0.5, 0.9))
    np.testing.assert_allclose(found, np.quantile(draws, [0.1, 0.5, 0.9]), atol=2e-3)


def test_weights_make_a_quantile_of_another_distribution() -> None:
    draws = RNG(2).normal(size=40000)
    weights = stats.norm.pdf(draws, 0.5, 0.8) / stats.norm.pdf(draws)
    found = quantiles(draws, weights / weights.sum(), (0.1, 0.5, 0.9))
    np.testing.assert_allclose(found, stats.norm.ppf([0.1, 0.5, 0.9], 0.5, 0.8), atol=0.03)


def test_the_score_of_normal_draws_is_its_closed_form() -> None:
    # Closed form of a normal's CRPS: Gneiting & Raftery 2007, eq. 5 of section 4.2.
    draws, seen = RNG(3).normal(150, 8, 20000), 160.0
    w = (seen - 150) / 8
    expected = 8 * (w * (2 * stats.norm.cdf(w) - 1) + 2 * stats.norm.pdf(w) - 1 / np.sqrt(np.pi))
    found = crps_of_draws(draws, np.full(20000, 1 / 20000), seen)
    assert found == pytest.approx(expected, rel=0.02)


def test_carry_in_the_wind_hit_in_is_known_better_than_still_air(headwind: Posterior) -> None:
    hit_cells = np.unique(headwind.observations.cell)
    still = still_air_carry(headwind)
    same = carry_in(headwind, setting(headwind.cells, -5.4, reading=0, day=0), RNG(1))
    width = ((still.high80 - still.low80) / still.median)[hit_cells]
    width_same = ((same.high80 - same.low80) / same.median)[hit_cells]
    assert np.all(width_same < 0.7 * width)


def test_one_wind_hides_what_two_show(headwind: Posterior, both_ways: Posterior) -> None:
    hit_cells = np.unique(headwind.observations.cell)
    one, two = (wind_share(p)[hit_cells].mean() for p in (headwind, both_ways))
    assert one > two
    assert two >= 0
    assert one <= 1
    assert wind_response_contraction(both_ways) > wind_response_contraction(headwind)
    assert np.all(wind_floor_m(headwind)[hit_cells] > 0)


def test_the_floor_is_not_above_the_interval_it_is_the_floor_of(headwind: Posterior) -> None:
    hit_cells = np.unique(headwind.observations.cell)
    still = still_air_carry(headwind)
    half = (still.high80 - still.median)[hit_cells]
    assert np.all(wind_floor_m(headwind)[hit_cells] <= 1.1 * half)


def test_balls_tell_a_reading_that_was_wrong() -> None:
    """Calm days fix the clubs; then balls in a wind read 4 m/s too weak say so."""
    rng = RNG(5)
    cells, priors = bag(), ClubPriors()
    asked = plan(rng, cells, 160, days=4, readings_a_day=1)
    windy = asked.day == 3
    readings = replace(asked.readings, own_sd_mps=np.array([0.1, 0.1, 0.1, 3.0]))
    asked = replace(
        asked, wind_log=np.where(windy, 0.03 * -3.0, 0.0), wind_slope_per_mps=np.full(160, 0.03), readings=readings
    )
    truth = replace(player(rng, cells, asked, priors), along=np.array([0.0, 0.0, 0.0, -4.0]), kappa=1.0, share=0.03)
    seen = hit(rng, cells, asked, replace(truth, day=np.zeros(4)), priors)
    said = wind_from_balls(fit(cells, seen, RNG(1), sampling=Sampling(kept=100)), 3)
    assert abs(said.error_mps + 4.0) < 2 * said.sd_mps
    assert said.sd_mps < 2.0
    assert said.error_mps < -1.5


def test_called_ranges_nest_and_hold_more_with_seeing_error(both_ways: Posterior) -> None:
    spread = np.full(len(both_ways.cells), 0.05)
    asked = setting(both_ways.cells, -5.4, reading=0, day=0)
    called = called_range(both_ways, asked, spread, RNG(1))
    ordered = np.stack([called.low80, called.low50, called.median, called.high50, called.high80])
    assert np.all(np.diff(ordered, axis=0) > 0)
    wider = called_range(both_ways, asked, spread, RNG(1), seen_sd_log=0.06)
    assert np.all(wider.high80 - wider.low80 > called.high80 - called.low80)
    new_day = called_range(both_ways, replace(asked, day=None), spread, RNG(1))
    assert np.mean(new_day.high50 - new_day.low50) > np.mean(called.high50 - called.low50)


def test_ball_draws_are_what_the_called_range_summarises(both_ways: Posterior) -> None:
    spread = np.full(len(both_ways.cells), 0.05)
    asked = setting(both_ways.cells, -5.4, reading=0, day=0)
    called = called_range(both_ways, asked, spread, RNG(1))
    drawn = quantiles(ball_draws(both_ways, asked, spread, 3, RNG(2)), both_ways.weights, (0.1, 0.5, 0.9))
    np.testing.assert_allclose(drawn, [called.low80[3], called.median[3], called.high80[3]], rtol=0.015)


def test_spread_and_mishits_are_found() -> None:
    cells, seen, truth = told(7, 280, (-3.0, 3.0))
    posterior = fit(cells, seen, RNG(1), sampling=Sampling(kept=100))
    low, high = mishit_share(posterior)[1:]
    assert low < 0.05 + 0.03
    assert high > 0.05 - 0.03
    spread = np.full(len(cells), 0.05)
    found = shot_spread_m(posterior, setting(cells, 0.0), spread, RNG(1))
    true = cells.stock_carry_m[cells.club] * np.exp(truth.eta) * 0.05 * np.exp(truth.log_spread[cells.club])
    np.testing.assert_allclose(found, true, rtol=0.35)


def test_nothing_is_reported_from_draws_that_do_not_agree(headwind: Posterior) -> None:
    bad = replace(headwind, diagnostics=Diagnostics(1.2, 5000.0, 5000.0, "cell 1"))
    asked = setting(bad.cells, 0.0)
    spread = np.full(len(bad.cells), 0.05)
    for report in (
        lambda: still_air_carry(bad),
        lambda: carry_in(bad, asked, RNG(1)),
        lambda: called_range(bad, asked, spread, RNG(1)),
        lambda: wind_share(bad),
        lambda: wind_floor_m(bad),
        lambda: mishit_share(bad),
        lambda: wind_from_balls(bad, 0),
    ):
        with pytest.raises(UnreliableEstimateError, match="cell 1"):
            report()
