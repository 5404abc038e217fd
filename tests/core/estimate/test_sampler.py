from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.core.estimate.calibration import everything, half_zones
from tests.core.estimate.simulate import bag, hit, plan, player
from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.estimate.observations import Observations
from trainer.core.estimate.posterior import Posterior, Sampling, fit, fit_players
from trainer.core.estimate.priors import ClubPriors
from trainer.core.estimate.report import quantiles

SHORT = Sampling(chains=32, kept=40, most=40)
SAME = Sampling(chains=8, groups=4, warm_up=5, kept=10, most=10)
"""Enough where draws are to be the same to the last digit."""


def evening(seed: int, shots: int = 40) -> tuple[CellSet, Observations]:
    rng = np.random.default_rng(seed)
    cells, priors = bag(), ClubPriors()
    asked = everything(rng, plan(rng, cells, shots))
    seen = hit(rng, cells, asked, player(rng, cells, asked, priors), priors)
    return cells, half_zones(rng, cells, seen)


def short_fit(cells: CellSet, seen: Observations, seed: int = 1, sampling: Sampling = SHORT) -> Posterior:
    return fit(cells, seen, np.random.default_rng(seed), sampling=sampling)


def few_draws(cells: CellSet, seen: Observations, seed: int = 1) -> Floats:
    return short_fit(cells, seen, seed, SAME).draws.eta


def test_the_same_seed_gives_the_same_draws_and_another_does_not() -> None:
    cells, seen = evening(1)
    first = few_draws(cells, seen)
    np.testing.assert_array_equal(first, few_draws(cells, seen))
    assert not np.array_equal(first, few_draws(cells, seen, seed=2))


def test_the_order_of_the_shots_is_irrelevant() -> None:
    cells, seen = evening(2)
    shuffled = seen.taken(np.random.default_rng(3).permutation(len(seen)))
    np.testing.assert_allclose(few_draws(cells, seen), few_draws(cells, shuffled), rtol=1e-9)


def test_entered_then_corrected_equals_entered_right() -> None:
    cells, seen = evening(4)
    wrong = replace(seen, low_m=seen.low_m.copy(), high_m=seen.high_m.copy())
    wrong.low_m[3] = wrong.high_m[3] = 91.0
    right = few_draws(cells, seen)
    assert not np.array_equal(few_draws(cells, wrong), right)
    wrong.low_m[3], wrong.high_m[3] = seen.low_m[3], seen.high_m[3]
    np.testing.assert_array_equal(few_draws(cells, wrong), right)


def test_a_ball_not_seen_and_not_marked_moves_no_carry() -> None:
    cells, seen = evening(5)
    more = Observations(**{
        name: np.append(getattr(seen, name), getattr(seen, name)[0])
        for name in Observations.__dataclass_fields__ if name not in {"readings", "age_days", "told", "response"}
    }, readings=seen.readings, age_days=seen.age_days, told=seen.told, response=seen.response)  # fmt: skip
    more.low_m[-1], more.high_m[-1], more.flown_m[-1] = 0.0, np.inf, 0.0
    more.marked[-1] = False
    long = Sampling(kept=80)
    one = fit(cells, seen, np.random.default_rng(1), sampling=long).draws.eta
    two = fit(cells, more, np.random.default_rng(2), sampling=long).draws.eta
    # Two independent runs of 5,120 draws at about 1.5 draws' worth each; five standard errors of a difference.
    np.testing.assert_allclose(
        one.mean(axis=0), two.mean(axis=0), atol=5 * np.sqrt(2 * 1.5 / 5120) * one.std(axis=0).max()
    )


def test_a_player_in_a_batch_gets_what_he_gets_alone() -> None:
    cells = evening(1)[0]
    players, copies = [evening(12, 45)[1], evening(14, 0)[1]], 16
    together = fit_players(cells, players * copies, np.random.default_rng(1), kept=100)
    for place, seen in enumerate(players):
        eta = np.concatenate([one.draws.eta for one in together[place :: len(players)]])
        alone = fit(cells, seen, np.random.default_rng(2))
        width = np.ptp(quantiles(alone.draws.eta, alone.weights, (0.1, 0.9)), axis=0)
        off = np.quantile(eta, (0.1, 0.9), axis=0) - quantiles(alone.draws.eta, alone.weights, (0.1, 0.9))
        # About 700 effective draws: an end is right to 0.67/√700 = 2.5 % of the width.
        assert np.sqrt(np.mean((off / width) ** 2)) < 0.05


def test_launch_data_tell_a_carry_that_nobody_saw() -> None:
    cells, seen = evening(10)
    n = len(seen)
    blind = replace(seen, low_m=np.zeros(n), high_m=np.full(n, np.inf), marked=np.zeros(n, dtype=bool))
    told = short_fit(cells, replace(blind, flown_m=seen.low_m, flown_sd_log=np.full(n, 0.02)))
    untold = short_fit(cells, replace(blind, flown_m=np.zeros(n)))
    hit = np.unique(seen.cell)
    assert np.all(told.draws.eta[:, hit].std(axis=0) < 0.9 * untold.draws.eta[:, hit].std(axis=0))


def test_more_balls_narrow_the_interval() -> None:
    cells, seen = evening(6, shots=80)
    few, many = (short_fit(cells, seen.taken(np.arange(n))).draws.eta.std(axis=0) for n in (5, 80))
    assert np.all(many <= few * 1.05)
    assert np.mean(many) < 0.8 * np.mean(few)


def test_old_shots_say_less_than_new_ones() -> None:
    cells, seen = evening(7)
    new = short_fit(cells, replace(seen, age_days=np.zeros(2)))
    old = short_fit(cells, replace(seen, age_days=np.full(2, 2000.0)))
    assert new.draws.eta.std(axis=0).mean() < 0.9 * old.draws.eta.std(axis=0).mean()


@pytest.mark.parametrize("count", [0, 1])
def test_almost_nothing_gives_wide_answers(count: int) -> None:
    cells, seen = evening(8, shots=count)
    posterior = short_fit(cells, seen)
    assert np.all(posterior.draws.eta.std(axis=0) > 0.03)
    assert np.all(np.isfinite(posterior.draws.eta))


def test_all_mishits_and_all_unseen_do_not_break() -> None:
    cells, seen = evening(9)
    n = len(seen)
    marked = short_fit(cells, replace(seen, marked=np.ones(n, dtype=bool)))
    blind = replace(seen, low_m=np.zeros(n), high_m=np.full(n, np.inf), marked=np.zeros(n, dtype=bool))
    unseen = short_fit(cells, replace(blind, flown_m=np.zeros(n)))
    prior = short_fit(cells, seen.taken(np.arange(0)))
    assert np.all(np.isfinite(marked.draws.eta))
    assert float(np.median(marked.draws.mishit_share)) > 0.7
    np.testing.assert_allclose(unseen.draws.eta.std(axis=0), prior.draws.eta.std(axis=0), rtol=0.15)


@pytest.mark.proof
def test_twenty_thousand_shots_over_four_years_are_fitted_and_leave_the_days_part() -> None:
    rng = np.random.default_rng(11)
    cells, priors = bag(), ClubPriors()
    asked = plan(rng, cells, 20_000, days=300, cells_hit=len(cells))
    asked = replace(asked, age_days=np.linspace(1500.0, 0.0, 300))
    truth = player(rng, cells, asked, priors)
    posterior = fit(cells, hit(rng, cells, asked, truth, priors), np.random.default_rng(1))
    posterior.diagnostics.require_reliable()
    low, high = quantiles(posterior.draws.eta, posterior.weights, (0.1, 0.9))
    assert np.all(high - low > 0.004)
    assert np.mean((low <= truth.eta) & (truth.eta <= high)) > 0.5


def test_a_short_club_that_flies_far_is_wide_or_right_never_a_confident_lie() -> None:
    cells = bag()
    asked = plan(np.random.default_rng(1), cells, 20, days=1, readings_a_day=1)
    cell = np.where(np.arange(20) < 10, 0, 18)
    carry = np.where(np.arange(20) < 10, 110.0, 150.0) * np.exp(np.random.default_rng(2).normal(0, 0.03, 20))
    seen = replace(asked, cell=cell, low_m=carry, high_m=carry.copy(), wind_log=np.zeros(20))
    draws = short_fit(cells, seen).draws.eta
    metres = cells.stock_carry_m[cells.club[[0, 18]]] * np.exp(draws[:, [0, 18]])
    low, high = np.quantile(metres, [0.1, 0.9], axis=0)
    assert np.all((low < [115.0, 155.0]) & (high > [105.0, 140.0]))
