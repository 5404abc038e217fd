"""Special cases with a closed form: the sampler must give it, whatever its machinery."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from tests.core.estimate.simulate import bag, hit, plan, player
from trainer.core.estimate.cell_prior import cell_prior
from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.estimate.observations import Observations, ResponseTold, WindTold
from trainer.core.estimate.posterior import Posterior, Sampling, fit
from trainer.core.estimate.priors import ClubPriors, Normal

NOTHING = 1e-5
FIXED = replace(
    ClubPriors(), club_sd=NOTHING, club_grip_sd=NOTHING, club_swing_sd=NOTHING, cell_sd=NOTHING,
    log_spread=Normal(0.0, NOTHING), club_log_spread_sd=NOTHING, mishit_share=(1.0, 1e9),
)  # fmt: skip
"""Every scale known and no mishits: what is left is one Gaussian update."""

LONG = Sampling(kept=300)


def gaussian(cells: CellSet, seen: Observations, priors: ClubPriors) -> tuple[Floats, Floats]:
    """Mean and covariance of eta by writing out the joint normal of cells, carries seen and carries calculated.

    Every unknown but eta is summed out by its own covariance, line by line from the model as it is written down.
    """
    prior = cell_prior(cells, priors)
    columns = prior.z[:, :8]
    eta = columns @ columns.T
    n, told = len(seen), seen.told
    shot = np.concatenate([np.arange(n), np.flatnonzero(seen.flown)])
    calculated, windy = np.arange(len(shot)) >= n, np.arange(len(shot)) < n
    cell, day, reading = seen.cell[shot], seen.day[shot], seen.reading[shot]
    q, own = seen.wind_log[shot] * windy, seen.own_wind_log[shot] * windy
    slope = seen.wind_slope_per_mps[shot] * windy
    stock = cells.stock_carry_m[cells.club[cell]]
    z = np.log(np.where(calculated, seen.flown_m[shot], seen.low_m[shot]) / stock)
    part, whole = priors.own_flight_response_sd**2, priors.wind_response.sd**2
    total = (
        eta[np.ix_(cell, cell)]
        + whole * np.outer(q, q) + part * (np.outer(own, own) + np.outer(q, own) + np.outer(own, q))
        + (reading[:, None] == reading) * np.outer(slope, slope) * seen.readings.own_sd_mps[reading] ** 2
        + priors.day_sd**2 * (day[:, None] == day)
        + priors.flown.sd**2 * np.outer(calculated, calculated)
        + (shot[:, None] == shot) * np.outer(seen.spread_log[shot], seen.spread_log[shot])
        + np.diag(np.where(calculated, seen.flown_sd_log[shot], seen.seen_sd_log[shot]) ** 2)
    )  # fmt: skip
    words = told.along[:, None] * (told.reading[:, None] == reading) * slope * seen.readings.own_sd_mps[reading] ** 2
    of_words = np.outer(told.along, told.along) * (told.reading[:, None] == told.reading)
    of_words = of_words * seen.readings.own_sd_mps[told.reading] ** 2 + np.diag(told.sd_mps**2)
    answers = np.ones(len(seen.response))
    # Cov(kappa, kappa − own) is what is left of kappa beside the own flight's part, Cov(own, kappa − own) nothing
    of_answers = (whole - part) * np.outer(answers, answers) + np.diag(seen.response.sd**2)
    words = np.vstack([words, (whole - part) * np.outer(answers, q)])
    of_words = np.block([[of_words, np.zeros((len(told), len(answers)))],
                         [np.zeros((len(answers), len(told))), of_answers]])  # fmt: skip
    total = np.block([[total, words.T], [words, of_words]])
    cross = np.vstack([eta[cell], np.zeros((len(told) + len(answers), len(eta)))])
    mean_z = prior.mean[cell] + priors.wind_response.mean * (q + own)
    gain = np.linalg.solve(total, cross).T
    return prior.mean + gain @ np.concatenate([z - mean_z, told.value_mps, seen.response.value]), eta - gain @ cross


def with_launch_data(rng: np.random.Generator, asked: Observations) -> Observations:
    """A third of the balls with launch data, a third with a flight of their own, and a word of the first wind."""
    kind = np.arange(len(asked)) % 3
    return replace(
        asked, own_wind_log=np.where(kind > 0, asked.wind_log * rng.uniform(0.7, 1.3, len(asked)), 0.0),
        wind_log=np.where(kind == 0, asked.wind_log, 0.0), flown_m=(kind == 1).astype(float),
        flown_sd_log=np.full(len(asked), 0.03),
        told=WindTold(np.array([0]), np.array([0.9]), np.array([0.0]), np.zeros(1), np.array([0.7])),
        response=ResponseTold(np.zeros(2), np.array([0.2, 0.1])),
    )  # fmt: skip


@pytest.fixture(scope="module", params=[False, True], ids=["carries", "launch data too"])
def gaussian_case(request: pytest.FixtureRequest) -> tuple[CellSet, Observations, Posterior]:
    rng = np.random.default_rng(21)
    cells = bag()
    asked = plan(rng, cells, 50)
    asked = with_launch_data(rng, asked) if request.param else asked
    seen = hit(rng, cells, asked, player(rng, cells, asked, FIXED), FIXED)
    return cells, seen, fit(cells, seen, np.random.default_rng(1), FIXED, LONG)


def test_known_scales_give_the_gaussian_update(gaussian_case: tuple[CellSet, Observations, Posterior]) -> None:
    cells, seen, posterior = gaussian_case
    mean, covariance = gaussian(cells, seen, FIXED)
    sd = np.sqrt(np.diag(covariance))
    draws = posterior.draws.eta
    # 19,200 nearly independent draws: a mean is right to sd/√19200, a s.d. to 1/√38400; four of each allowed.
    np.testing.assert_allclose((draws.mean(axis=0) - mean) / sd, 0, atol=4 / np.sqrt(len(draws)) * 1.3)
    np.testing.assert_allclose(draws.std(axis=0) / sd, 1, atol=4 / np.sqrt(2 * len(draws)) * 1.3)
    whitened = np.linalg.solve(
        np.linalg.cholesky(covariance[:3, :3] + 1e-12 * np.eye(3)), (draws[:, :3] - mean[:3]).T
    )
    assert stats.kstest(whitened[0][::7], "norm").pvalue > 1e-3


def test_one_zone_alone_gives_the_truncated_normal() -> None:
    cells, priors = bag(), FIXED
    asked = plan(np.random.default_rng(3), cells, 1, days=1, readings_a_day=1)
    still = replace(asked, wind_log=np.zeros(1), wind_slope_per_mps=np.zeros(1), cell=np.zeros(1, dtype=np.int64))
    stock = cells.stock_carry_m[0]
    seen = replace(still, low_m=np.array([stock * np.exp(0.05)]), high_m=np.array([np.inf]))
    posterior = fit(cells, seen, np.random.default_rng(2), priors, Sampling(kept=200))
    prior = cell_prior(cells, priors)
    eta_var = float(prior.z[0, :8] @ prior.z[0, :8])
    total = np.sqrt(eta_var + priors.day_sd**2 + seen.spread_log[0] ** 2 + seen.seen_sd_log[0] ** 2)
    # E[eta | z > a] with z = eta + noise: the regression of eta on the truncated z.
    beyond = float(stats.truncnorm.mean((0.05 - prior.mean[0]) / total, np.inf, prior.mean[0], total))
    expected = prior.mean[0] + eta_var / total**2 * (beyond - prior.mean[0])
    assert posterior.draws.eta[:, 0].mean() == pytest.approx(expected, abs=5 * np.sqrt(eta_var / 6000))


def test_marks_alone_give_the_beta_update() -> None:
    """Balls not seen, some marked: the share's posterior has the closed form of counted successes."""
    cells, n, marked = bag(), 30, 9
    priors = replace(ClubPriors(), mark_rate=(1e7, 1.0))  # every mishit is marked
    asked = plan(np.random.default_rng(4), cells, n)
    seen = replace(asked, low_m=np.zeros(n), marked=np.arange(n) < marked)
    posterior = fit(cells, seen, np.random.default_rng(5), priors, Sampling(kept=200))
    a, b = priors.mishit_share
    expected = stats.beta(a + marked, b + n - marked)
    found = np.quantile(posterior.draws.mishit_share, [0.1, 0.5, 0.9])
    np.testing.assert_allclose(found, expected.ppf([0.1, 0.5, 0.9]), atol=0.004)


def test_no_shots_give_the_prior() -> None:
    cells, priors = bag(), ClubPriors()
    none = plan(np.random.default_rng(6), cells, 0)
    posterior = fit(cells, none, np.random.default_rng(7), priors, Sampling(kept=200))
    draws = posterior.draws
    assert draws.wind_response.mean() == pytest.approx(1.0, abs=0.015)
    assert draws.wind_response.std() == pytest.approx(0.25, rel=0.03)
    np.testing.assert_allclose(draws.tau.mean(axis=0) / np.sqrt(2 / np.pi), [0.03, 0.008, 0.03, 0.025], rtol=0.08)
    assert draws.mishit_share.mean() == pytest.approx(1.2 / 13.2, rel=0.05)
    prior = cell_prior(cells, priors)
    np.testing.assert_allclose(draws.eta.mean(axis=0), prior.mean, atol=0.004)
