from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.core.estimate.simulate import bag, hit, plan, player
from trainer.core.errors import InputError
from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.estimate.observations import Observations, Readings, ResponseTold, WindTold
from trainer.core.estimate.online import needs_refresh_now, refresh, reweighted
from trainer.core.estimate.posterior import Posterior, Sampling, fit
from trainer.core.estimate.priors import ClubPriors
from trainer.core.estimate.report import quantiles

LONG = Sampling(kept=250)


def two_evenings(seed: int) -> tuple[CellSet, Observations]:
    """41 balls, of which only the last is of the second day, with a reading of its own."""
    rng = np.random.default_rng(seed)
    cells, priors = bag(), ClubPriors()
    asked = plan(rng, cells, 41)
    day = np.where(np.arange(41) < 40, 0, 1)
    readings = Readings(np.array([1.0, 1.0, 1.5]), np.array([0.5, 0.0, 0.7]), np.array([0, -1, 0]), np.ones(3))
    asked = replace(asked, day=day, reading=np.where(day == 1, 2, np.arange(41) % 2), readings=readings)
    return cells, hit(rng, cells, asked, player(rng, cells, asked, priors), priors)


@cache
def fitted_anew(seed: int) -> Posterior:
    """The long fit of `two_evenings(seed)` that what goes on from earlier draws is held against."""
    cells, seen = two_evenings(seed)
    return fit(cells, seen, np.random.default_rng(3), sampling=LONG)


def before_the_last(seen: Observations, *, know_the_day: bool) -> Observations:
    first = seen.taken(np.arange(40))
    if know_the_day:
        return first
    two = Readings(
        *(getattr(seen.readings, f)[:2] for f in ("own_sd_mps", "shared_mps", "instrument", "across_sd_mps"))
    )
    return replace(first, readings=two, age_days=seen.age_days[:1])


def ends(posterior: Posterior) -> Floats:
    return quantiles(posterior.draws.eta, posterior.weights, (0.1, 0.9))


def distance(one: Posterior, other: Posterior) -> float:
    """Rms distance of the ends of the 80 % intervals, in widths."""
    a, b = ends(one), ends(other)
    return float(np.sqrt(np.mean(((a - b) / (b[1] - b[0])) ** 2)))


def test_launch_data_and_words_of_the_wind_reweight_too() -> None:
    cells, asked = two_evenings(6)
    rng = np.random.default_rng(6)
    flown = np.isin(np.arange(41), [3, 10, 20, 39, 40])
    told = WindTold(np.array([0]), np.array([0.8]), np.array([0.6]), np.array([1.0]), np.array([1.0]))
    asked = replace(
        asked, own_wind_log=np.where(flown, asked.wind_log, 0.0), wind_log=np.where(flown, 0.0, asked.wind_log),
        flown_m=flown.astype(float), flown_sd_log=np.full(41, 0.02), told=told,
        response=ResponseTold(np.zeros(1), np.array([0.2])),
    )  # fmt: skip
    seen = hit(rng, cells, asked, player(rng, cells, asked, ClubPriors()), ClubPriors())
    first = replace(seen.taken(np.arange(39)), told=WindTold.nothing(), response=ResponseTold.nothing())
    before = fit(cells, first, np.random.default_rng(1), sampling=LONG)
    after = reweighted(before, seen, np.random.default_rng(2))
    fresh = fit(cells, seen, np.random.default_rng(3), sampling=LONG)
    assert distance(after, fresh) < 0.025
    for name in ("along", "own_response", "flown"):
        found, expected = (getattr(p.draws, name) for p in (after, fresh))
        np.testing.assert_allclose(
            after.weights @ found, expected.mean(axis=0), atol=0.07 * expected.std(axis=0).max()
        )


@pytest.mark.parametrize("know_the_day", [True, False], ids=["known day", "new day and reading"])
def test_reweighting_gives_what_a_fresh_fit_gives(know_the_day: bool) -> None:
    cells, seen = two_evenings(1)
    before = fit(cells, before_the_last(seen, know_the_day=know_the_day), np.random.default_rng(1), sampling=LONG)
    after = reweighted(before, seen, np.random.default_rng(2))
    fresh = fitted_anew(1)
    assert not after.current
    assert after.effective_size > 400
    assert distance(after, fresh) < 0.02
    assert distance(before, fresh) > distance(after, fresh)
    for name in ("along", "day"):
        found, expected = (getattr(p.draws, name) for p in (after, fresh))
        np.testing.assert_allclose(
            after.weights @ found, expected.mean(axis=0), atol=0.05 * expected.std(axis=0).max()
        )


def test_zones_marks_and_unseen_balls_reweight_too() -> None:
    cells, seen = two_evenings(2)
    low, high, marked = seen.low_m.copy(), seen.high_m.copy(), seen.marked.copy()
    marked[37:] = [True, False, False, False]
    low[38:], high[38:] = [90.0, 0.0, 0.0], [np.inf, 120.0, np.inf]
    seen = replace(seen, low_m=low, high_m=high, marked=marked)
    before = fit(cells, replace(seen.taken(np.arange(37))), np.random.default_rng(1), sampling=LONG)
    after = reweighted(before, seen, np.random.default_rng(2))
    fresh = fit(cells, seen, np.random.default_rng(3), sampling=LONG)
    assert distance(after, fresh) < 0.025
    assert after.weights @ after.draws.mishit_share == pytest.approx(fresh.draws.mishit_share.mean(), abs=0.006)


def test_a_refresh_ends_where_a_fresh_fit_does_and_shows_its_progress() -> None:
    cells, seen = two_evenings(1)
    before = fit(cells, before_the_last(seen, know_the_day=False), np.random.default_rng(1))
    steps = list(refresh(reweighted(before, seen, np.random.default_rng(2)), seen, np.random.default_rng(3)))
    assert [step.done for step in steps] == list(range(1, steps[-1].total + 1))
    assert all(step.posterior is None for step in steps[:-1])
    last = steps[-1].posterior
    assert last is not None
    assert last.current
    assert last.diagnostics.reliable
    # 2,048 draws, some 1,200 effective: an end is right to 0.67/√1200 = 1.9 % of its width.
    assert distance(last, fitted_anew(1)) < 0.035


def test_a_refresh_is_right_after_a_correction() -> None:
    cells, seen = two_evenings(1)
    wrong = replace(seen, low_m=seen.low_m.copy(), high_m=seen.high_m.copy())
    wrong.low_m[:5] = wrong.high_m[:5] = seen.low_m[:5] * 1.25
    before = fit(cells, wrong, np.random.default_rng(1))
    with pytest.raises(InputError, match="refresh"):
        reweighted(before, seen, np.random.default_rng(2))
    last = list(refresh(before, seen, np.random.default_rng(3)))[-1].posterior
    assert last is not None
    assert distance(last, fitted_anew(1)) < 0.035


def test_many_surprises_ask_for_a_refresh() -> None:
    cells, seen = two_evenings(5)
    before = fit(cells, seen.taken(np.arange(3)), np.random.default_rng(1))
    assert not needs_refresh_now(before)
    assert needs_refresh_now(reweighted(before, seen, np.random.default_rng(2)))
