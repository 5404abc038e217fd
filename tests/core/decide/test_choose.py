"""Ranking by aim, the three choices, switches over the wind, the cost of misreading, and senseless targets."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.core.decide.examples import CELLS, eta_of, flights, plain_traits, posterior_of, stacked
from trainer.core.bag import Cell, Swing
from trainer.core.decide.choose import SELDOM_SHORT, Aim, Chances, chances, ranked, three_choices
from trainer.core.decide.outcomes import Balls, Doubt, come_to_rest, roll_balls
from trainer.core.decide.switching import HARDLY_WORTH_IT, NEARER_BY, Winds, first_choices, misread, switches
from trainer.core.decide.target import Target, require_target
from trainer.core.errors import InputError

TARGET = Target.at(130.0)


def balls(spread: float = 0.02) -> Balls:
    eta = eta_of() + np.random.default_rng(2).normal(0, spread, (400, 1))
    return roll_balls(posterior_of(eta, share=0.08), plain_traits(), Doubt(), np.random.default_rng(2))


def found(along: float = -6.0, target: Target = TARGET) -> Chances:
    return chances(target, come_to_rest(balls(), flights(along), 1.0))


def winds(direction: float = -1.0) -> Winds:
    knots = np.linspace(0.0, 12.0, 7)
    flown = stacked(*(flights(direction * speed) for speed in knots.tolist()))
    return Winds(flown, knots, np.ones((len(knots), len(CELLS)), dtype=bool), np.linspace(0.0, 12.0, 13), 0.2)


def test_to_hold_is_ranked_by_holding_and_carrying_over() -> None:
    counted = found(target=replace(TARGET, carry_over_m=124.0))
    order = ranked(counted, Aim.HOLD)
    assert np.all(np.diff(counted.done[order]) <= 0)


def test_nearest_is_ranked_by_distance() -> None:
    counted = found()
    assert np.all(np.diff(counted.miss_m[ranked(counted, Aim.NEAREST)]) >= 0)


def test_never_short_puts_the_seldom_short_first() -> None:
    counted = found()
    order = ranked(counted, Aim.NEVER_SHORT)
    safe = counted.short[order] <= SELDOM_SHORT
    assert safe.any()
    assert not safe.all()
    assert np.all(np.diff(safe.astype(int)) <= 0)
    assert counted.short[order[0]] <= counted.short[ranked(counted, Aim.HOLD)[0]]


def test_into_the_wind_a_longer_club_comes_first() -> None:
    lofts = [CELLS.loft_deg[CELLS.club[ranked(found(along))[0]]] for along in (4.0, 0.0, -8.0)]
    assert lofts[0] > lofts[2]
    assert lofts[0] >= lofts[1] >= lofts[2]


def test_three_choices_differ_in_club_or_swing() -> None:
    cells = [
        Cell("7 iron"), Cell("7 iron", 0.0254), Cell("6 iron"), Cell("7 iron", 0.0, Swing.HALF), Cell("8 iron"),
    ]  # fmt: skip
    assert three_choices(np.arange(5), cells) == (0, 2, 3)
    assert three_choices(np.arange(2), cells[:2]) == (0, 1)


def test_switches_lie_where_the_two_are_worth_the_same() -> None:
    rolled, scan = balls(), winds()
    changes = switches(rolled, scan, TARGET, Aim.HOLD, 6)
    assert changes
    for change in changes:
        assert 0 <= change.speed_mps <= 12
        at = chances(TARGET, come_to_rest(rolled, *scan.at(change.speed_mps)))
        assert at.done[change.before] == pytest.approx(at.done[change.after], abs=0.05)
    # into a rising wind the choice never goes to a shorter club
    lofts = CELLS.loft_deg[CELLS.club[[changes[0].before, *(each.after for each in changes)]]]
    assert lofts[0] > lofts[-1]


@pytest.mark.parametrize("aim", Aim)
@pytest.mark.parametrize("start", range(0, 13, 3))
def test_away_from_the_wind_at_hand_the_choice_changes_where_it_is_worth_it(start: int, aim: Aim) -> None:
    rolled, scan = balls(), winds()
    counted = [chances(TARGET, come_to_rest(rolled, *scan.at(speed))) for speed in scan.speeds_mps.tolist()]
    expected = [int(ranked(each, aim)[0]) for each in counted]
    outwards = [(w, w - 1) for w in range(start + 1, 13)] + [(w, w + 1) for w in range(start - 1, -1, -1)]
    for w, before in outwards:
        if worth(counted[w], aim, expected[w], expected[before]) < 0:
            expected[w] = expected[before]
    assert first_choices(rolled, scan, TARGET, aim, start)[0] == expected
    assert len(set(expected)) > 1


def worth(found: Chances, aim: Aim, taken: int, kept: int) -> float:
    """By how much more than it must `taken` is better than `kept`."""
    if aim is Aim.NEAREST:
        return float((1 - NEARER_BY) * found.miss_m[kept] - found.miss_m[taken])
    short = np.maximum(found.short, 1.0 - found.over)
    if aim is Aim.NEVER_SHORT and short[kept] > SELDOM_SHORT:
        return float(short[kept] - short[taken]) - HARDLY_WORTH_IT
    return float(found.done[taken] - found.done[kept]) - HARDLY_WORTH_IT


def test_a_player_known_better_has_surer_switches() -> None:
    vague, sure = (
        [change.plus_minus_mps for change in switches(balls(spread), winds(), TARGET, Aim.HOLD, 0)]
        for spread in (0.06, 0.005)
    )
    assert np.median(sure) < 0.6 * np.median(vague)


def test_the_switchs_doubt_is_that_of_the_place_itself() -> None:
    """Players who carry 3 % more or less switch elsewhere: the scatter of their own switches is what is told."""
    rng = np.random.default_rng(5)
    own = []
    shifts = rng.normal(0, 0.03, 40)
    together = posterior_of(eta_of() + shifts[:, None])
    rolled = roll_balls(together, plain_traits(), Doubt(), np.random.default_rng(1), players=120, strikes=32)
    told = switches(rolled, winds(), TARGET, Aim.HOLD, 0)[0]
    pair = np.array([told.before, told.after])
    for shift in shifts.tolist():
        one = posterior_of(eta_of(shift=shift)[None, :])
        mine = roll_balls(one, plain_traits(), Doubt(), np.random.default_rng(1), players=128, strikes=16).of(pair)
        speeds = np.linspace(-12, 16, 57)
        gain = []
        for speed in speeds.tolist():
            done = chances(TARGET, come_to_rest(mine, flights(-speed).of(pair), 0.2 * abs(speed))).done
            gain.append(done[1] - done[0])
        crossing = np.flatnonzero((np.array(gain)[:-1] < 0) & (np.array(gain)[1:] >= 0))
        if crossing.size:
            own.append(speeds[crossing[np.argmin(np.abs(speeds[crossing] - told.speed_mps))]])
    assert len(own) > 27
    assert told.plus_minus_mps == pytest.approx(1.28 * float(np.std(own)), rel=0.5)


def test_misreading_costs_the_high_shot_more() -> None:
    cells = list(range(len(CELLS)))
    cost = misread(balls(), winds(), Target.at(112.0), cells, 6.0, 3.0)
    assert np.all((cost.less >= 0) & (cost.more <= 1))
    best = int(np.argmax(cost.as_read))
    assert cost.unsure[best] < cost.as_read[best]
    full = [i for i in cells if CELLS.half[i] == 0 and CELLS.three_quarter[i] == 0 and cost.as_read[i] > 0.3]
    low = [i for i in cells if CELLS.three_quarter[i] + CELLS.half[i] > 0 and cost.as_read[i] > 0.3]
    assert full
    assert low

    def lost(which: list[int]) -> float:
        return float(np.mean((cost.as_read - (cost.less + cost.more) / 2)[which]))

    assert lost(low) < lost(full)


@pytest.mark.parametrize(
    "wrong",
    [
        Target(1.0, 0.5, 2.0), Target(140, 145, 150), Target(140, 130, 135), Target(140, 140, 140),
        Target(140, 130, 150, -5, 4), replace(TARGET, carry_over_m=-3.0), replace(TARGET, slope_m=80.0),
        Target(float("nan"), 130, 150),
    ],
)  # fmt: skip
def test_a_target_that_makes_no_sense_is_refused(wrong: Target) -> None:
    with pytest.raises(InputError):
        require_target(wrong)
