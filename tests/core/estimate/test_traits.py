from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from tests.core.estimate.simulate import bag
from trainer.core.errors import InputError
from trainer.core.estimate.identity import Features, flew_like_full, probability_full
from trainer.core.estimate.regression import RegressionPrior, regress
from trainer.core.estimate.traits import APEX, SideEvidence, SidePrior, ratio_draws, side_draws, wind_told

RNG = np.random.default_rng


def test_one_mean_with_unknown_noise_is_the_students_t_of_the_books() -> None:
    """Closed form of the conjugate normal model: Gelman et al., Bayesian Data Analysis, 3rd ed., section 3.3."""
    y = RNG(1).normal(3.0, 2.0, 12)
    k0, nu0, scale = 0.5, 4.0, 1.5
    prior = RegressionPrior(np.array([1.0]), np.array([scale / np.sqrt(k0)]), scale, nu0)
    found = regress(np.ones((12, 1)), y, prior)
    kn, nun = k0 + 12, nu0 + 12
    mean = (k0 * 1.0 + 12 * y.mean()) / kn
    squares = nu0 * scale**2 + np.sum((y - y.mean()) ** 2) + k0 * 12 / kn * (y.mean() - 1.0) ** 2
    assert found.mean[0] == pytest.approx(mean)
    assert found.freedom == nun
    assert found.scale == pytest.approx(np.sqrt(squares / nun))
    weights, noise = found.draw(40000, RNG(2))
    expected = stats.t(nun, mean, np.sqrt(squares / nun / kn))
    np.testing.assert_allclose(np.quantile(weights, [0.1, 0.9]), expected.ppf([0.1, 0.9]), atol=0.02)
    assert stats.kstest(nun * found.scale**2 / noise**2, stats.chi2(nun).cdf).pvalue > 1e-3


def test_no_rows_give_the_prior() -> None:
    prior = RegressionPrior(np.array([1.0, -2.0]), np.array([0.3, 0.1]), 0.5, 8.0)
    found = regress(np.zeros((0, 2)), np.zeros(0), prior)
    np.testing.assert_allclose(found.mean, prior.mean)
    np.testing.assert_allclose(np.sqrt(np.diag(found.covariance)), prior.sd)


def test_a_value_that_is_no_number_is_refused() -> None:
    prior = RegressionPrior(np.zeros(1), np.ones(1), 1.0, 4.0)
    with pytest.raises(InputError, match="not a number"):
        regress(np.ones((1, 1)), np.array([np.nan]), prior)


def test_intervals_of_the_regression_are_calibrated() -> None:
    """Truth from the prior lies in the central 80 % of draws eight times in ten."""
    rng, held = RNG(3), []
    prior = RegressionPrior(np.array([0.0, 1.0]), np.array([0.5, 0.25]), 0.3, 6.0)
    for _ in range(600):
        noise = prior.scale * np.sqrt(prior.freedom / rng.chisquare(prior.freedom))
        truth = prior.mean + noise / prior.scale * prior.sd * rng.normal(size=2)
        rows = rng.normal(size=(9, 2))
        drawn, _ = regress(rows, rows @ truth + noise * rng.normal(size=9), prior).draw(400, rng)
        low, high = np.quantile(drawn, [0.1, 0.9], axis=0)
        held.append((low <= truth) & (truth <= high))
    # 1,200 yes or no answers: three standard errors are 0.035.
    assert np.mean(held) == pytest.approx(0.8, abs=0.035)


def test_height_seen_in_one_cell_moves_it_most_and_its_neighbours_some() -> None:
    cells = bag()
    lower = np.full(10, np.log(0.8))
    drawn = ratio_draws(cells, np.full(10, 1), lower, APEX, RNG(1)).log_ratio
    median = np.median(drawn, axis=0)
    assert median[1] == pytest.approx(np.log(0.8), abs=0.06)
    assert median[1] < median[4] < median[0] < 0
    assert drawn[:, 1].std() < drawn[:, 0].std()


def side(seed: int, shots: int, sides: tuple[float, ...]) -> tuple[SideEvidence, float]:
    """Balls at flags whose drift per m/s is given, in a cross wind read 3 m/s too weak, with a start bias."""
    rng = RNG(seed)
    slope = np.array(sides)[np.arange(shots) % len(sides)]
    true_mps, read_mps, bias = 7.0, 4.0, 0.03
    angle = bias + slope * true_mps + rng.normal(0, 0.03, shots)
    zero = np.zeros(shots, dtype=np.int64)
    along, off = np.zeros(shots), np.array([3.0])
    return SideEvidence(zero, zero, angle, slope * read_mps, along, slope, off, off), true_mps - read_mps


def test_two_flags_cancel_the_start_bias_where_one_cannot() -> None:
    sharp = SidePrior(drift_response_sd=0.02)
    one, _ = side(1, 40, (0.02,))
    two, error = side(1, 40, (0.02, -0.02))
    one_sd = side_draws(1, one, RNG(2), sharp).across_mps.std()
    found = side_draws(1, two, RNG(2), sharp)
    assert found.across_mps.std() < 0.6 * one_sd
    assert found.across_mps.mean() == pytest.approx(error, abs=3 * found.across_mps.std())
    assert np.median(found.bias_rad) == pytest.approx(0.03, abs=0.02)


def test_mirrored_sides_mirror_the_answer() -> None:
    seen, _ = side(3, 20, (0.02, 0.01))
    mirrored = replace(
        seen,
        side_rad=-seen.side_rad,
        drift_rad=-seen.drift_rad,
        slope_across=-seen.slope_across,
    )
    one, other = side_draws(1, seen, RNG(1)), side_draws(1, mirrored, RNG(2))
    assert np.median(one.bias_rad) == pytest.approx(-np.median(other.bias_rad), abs=0.003)
    assert np.median(one.across_mps) == pytest.approx(np.median(other.across_mps), abs=0.15)


def test_a_word_of_the_wind_and_the_reading_make_what_the_sides_make_of_it() -> None:
    """Prior times likelihood, worked out by hand: one bias and one error, 40 balls; six more hold the noise."""
    seen, error = side(1, 40, (0.02, -0.02))
    sharp = SidePrior(drift_response_sd=1e-6, club_bias_sd_rad=1e-6)
    told = wind_told(1, seen, sharp)
    assert len(told) == 1
    assert abs(told.across[0]) == pytest.approx(1.0)
    # the two flags cancel the bias: each ball tells the error with slope 0.02 and its own scatter
    rest = seen.side_rad - seen.drift_rad
    noise = np.std(rest - np.where(seen.slope_across > 0, rest[::2].mean(), rest[1::2].mean()), ddof=2)
    noise = np.sqrt((6 * sharp.shot_sd_rad**2 + 40 * noise**2) / 46)
    assert told.sd_mps[0] == pytest.approx(noise / 0.02 / np.sqrt(40), rel=0.15)
    expected = (rest[::2].mean() - rest[1::2].mean()) / 0.04
    assert told.across[0] * told.value_mps[0] == pytest.approx(expected, abs=0.15)
    assert expected == pytest.approx(error, abs=3 * told.sd_mps[0])


def test_towards_flags_beside_the_line_an_error_along_it_is_told_too() -> None:
    seen, _ = side(1, 40, (0.02, -0.02))
    beside = replace(seen, slope_along=seen.slope_across, slope_across=np.zeros(40))
    told = wind_told(1, beside)
    assert abs(told.along[0]) == pytest.approx(1.0)
    assert abs(told.across[0]) < 0.05


def test_sides_of_one_flag_that_could_as_well_be_a_start_bias_say_little() -> None:
    one, two = (wind_told(1, side(1, 40, flags)[0]) for flags in ((0.02,), (0.02, -0.02)))
    assert not len(one) or one.sd_mps[0] > 1.5 * two.sd_mps[0]
    no, none = np.zeros(0, dtype=np.int64), np.zeros(0)
    assert not len(wind_told(1, SideEvidence(no, no, none, none, none, none, none, none)))


def features(height_m: float, hang_s: float, known: tuple[bool, bool] = (True, True)) -> Features:
    """A low shot is expected at 12 m and 4.4 s, the full one at 24 m and 5.8 s."""
    return Features(
        np.array([[height_m, hang_s]]), np.array([known]), np.array([[12.0, 4.4]]), np.array([[3.0, 0.35]]),
        np.array([[24.0, 5.8]]), np.array([[4.0, 0.35]]),
    )  # fmt: skip


def test_a_low_ball_that_flew_like_a_full_one_is_asked_about() -> None:
    assert flew_like_full(features(23.0, 5.7))[0]
    assert not flew_like_full(features(12.5, 4.5))[0]


def test_nothing_seen_leaves_the_prior_and_more_seen_says_more() -> None:
    assert probability_full(features(0.0, 0.0, (False, False)))[0] == pytest.approx(0.05)
    one = probability_full(features(22.0, 5.6, (True, False)))[0]
    both = probability_full(features(22.0, 5.6))[0]
    assert 0.05 < one < both


def test_an_unknown_feature_may_be_anything() -> None:
    found = probability_full(features(22.0, np.nan, (True, False)))
    assert np.all(np.isfinite(found))
