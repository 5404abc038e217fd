"""The course's offset against a known truth: its interval holds as often as it says, with all that balls share."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from trainer.application.choosing.course import approach_of, course_report, course_sentence
from trainer.application.choosing.course_log import begin_log
from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.learning import Known, learn
from trainer.application.estimates.traits_seen import traits_of
from trainer.application.evidence.flown import wind_terms
from trainer.application.evidence.history import History, read_history
from trainer.application.evidence.reading_error import gust_sd_mps, reading_sd_mps
from trainer.application.session.recording import begin
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.bag import Cell
from trainer.core.conditions import Seen, Wind, WindKnowledge
from trainer.core.decide.course import PRIOR_SD_LOG, CourseOffset
from trainer.core.estimate.evidence import Floats
from trainer.core.estimate.traits import RUN
from trainer.core.profile import CarryBasis, KnownCarry, Profile
from trainer.core.units import UnitChoice, to_si
from trainer.store.records import SessionKind
from trainer.store.store import open_store

KNOWN = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED)
PROFILE = Profile("kim", propose_bag(KNOWN), KNOWN, seen=Seen.LASER)
BEGIN = datetime(2026, 4, 1, 18, 0)
AS_OF = BEGIN + timedelta(days=9)
HEAD = Wind(WindKnowledge.READ, 5.0, math.radians(10))
APPROACHES = ("7 iron, to 140: 130", "8 iron, to 130: 120", "6 iron, 1 in, three-quarter, to 125: 120",
              "wind 4m/s 6h", "9 iron, to 130: 128", "5 iron, three-quarter, to 150: 150")  # fmt: skip


@pytest.fixture(scope="module")
def past(tmp_path_factory: pytest.TempPathFactory) -> tuple[History, History]:
    """A range evening, and the logs of two rounds after it."""
    path: Path = tmp_path_factory.mktemp("course") / "store.db"
    with open_store(path, write=True) as store:
        store.save_profile(PROFILE, BEGIN)
        recorder = begin(store, "kim", StatedConditions(wind=HEAD), BEGIN)
        for carry in (128, 131, 126, 133):
            for line in (f"7 iron: {carry}", f"8 iron: {carry - 10}", f"6 iron, 1 in, three-quarter: {carry - 4}"):
                recorder.line(line, BEGIN)
        for days in (2, 6):
            when = BEGIN + timedelta(days=days)
            log = begin_log(store, "kim", StatedConditions(wind=HEAD), when)
            for line in APPROACHES:
                log.line(line, when)
        return read_history(store, "kim"), read_history(store, "kim", kind=SessionKind.COURSE)


def played_out(
    history: History, course: History, known: Known, offset_log: float, rng: np.random.Generator
) -> History:
    """The same approaches of a player drawn from what is believed of him, who differs by `offset_log` out there."""
    shots = course.shots
    cells = np.array([known.bench.index[shot.cell] for shot in shots], dtype=np.int64)
    terms = wind_terms(shots, cells, course, known.bench)
    draws, posterior = known.posterior.draws, known.posterior
    one = int(rng.choice(len(posterior.weights), p=posterior.weights))
    runs = traits_of(history, known, np.random.default_rng(known.seed)).run.log_ratio
    run_log = runs[rng.integers(len(runs)), cells]
    winds = [course.readings[shot.reading_id or 0].wind for shot in shots]
    wrong = {id: rng.normal(0, reading_sd_mps(each.wind), 2) for id, each in course.readings.items()}
    along, across = np.array([wrong[shot.reading_id or 0] for shot in shots]).T
    gust = np.array([gust_sd_mps(wind, marked=False) for wind in winds]) * rng.standard_normal(len(shots))
    days = {shot.session_id: rng.normal(0, posterior.priors.day_sd) for shot in shots}
    club = posterior.cells.club[cells]
    own = terms.spread_log * np.exp(draws.log_spread[one, club]) * rng.standard_normal(len(shots))
    bad = rng.random(len(shots)) < draws.mishit_share[one]
    lost: Floats = rng.normal(draws.mishit_loss[one], posterior.priors.mishit_sd, len(shots))
    log_carry = draws.eta[one, cells] + draws.wind_response[one] * np.log(terms.carry_m / terms.still_m)
    log_carry = (
        log_carry + (terms.slope_m_per_mps * (along + gust) + terms.across_slope_m_per_mps * across) / terms.carry_m
    )
    log_carry = log_carry + np.array([days[shot.session_id] for shot in shots]) + np.where(bad, -lost, own)
    carry_m = posterior.cells.stock_carry_m[club] * np.exp(log_carry)
    run_m = terms.run_m * np.exp(run_log) * (1 + RUN.shot_sd * rng.standard_normal(len(shots)))
    rest_m = (carry_m + run_m) * np.exp(offset_log) + rng.normal(0, to_si(3, "yd"), len(shots))
    return replace(course, shots=tuple(
        replace(shot, entry=replace(shot.entry, total_m=max(float(rest), 2.0)))
        for shot, rest in zip(shots, rest_m, strict=True)
    ))  # fmt: skip


def test_the_offset_s_interval_holds_as_often_as_it_says(past: tuple[History, History]) -> None:
    history, course = past
    known = learn(history, AS_OF)
    rng = np.random.default_rng(8)
    held, standard = 0, []
    for _ in range(300):
        truth = rng.normal(0, PRIOR_SD_LOG)
        report = course_report(played_out(history, course, known, truth, rng), history, AS_OF)
        assert report is not None
        held += report.offset.low80_log <= truth <= report.offset.high80_log
        standard.append((report.offset.mean_log - truth) / report.offset.sd_log)
    # 0.8 ± 2.6 s.d. of 300 tries
    assert 0.74 <= held / 300 <= 0.86
    assert abs(float(np.mean(standard))) < 0.2
    assert 0.85 < float(np.std(standard)) < 1.15


def test_two_rounds_tell_less_than_independent_balls_would(past: tuple[History, History]) -> None:
    history, course = past
    report = course_report(course, history, AS_OF)
    assert report is not None
    assert (report.rounds, report.offset.approaches) == (2, 10)
    assert PRIOR_SD_LOG > report.offset.sd_log > PRIOR_SD_LOG / 3


def test_an_approach_is_held_against_where_it_was_called_to_rest(past: tuple[History, History]) -> None:
    history, course = past
    for shot in course.shots:
        approach = approach_of(shot)
        assert shot.called_80_m is not None
        assert approach.called_m is not None
        assert shot.called_80_m[0] < approach.called_m < shot.called_80_m[1]
        assert approach.held == (shot.called_80_m[0] <= (shot.entry.total_m or 0) <= shot.called_80_m[1])
    assert Cell("7 iron") in {shot.cell for shot in history.shots}
    assert course_report(replace(course, shots=()), history, AS_OF) is None


def test_an_approach_that_was_not_measured_moves_nothing(past: tuple[History, History]) -> None:
    history, course = past
    first, *rest = course.shots
    blind = replace(course, shots=(replace(first, entry=replace(first.entry, total_m=None)), *rest))
    without = course_report(replace(course, shots=tuple(rest)), history, AS_OF)
    told = course_report(blind, history, AS_OF)
    assert told is not None
    assert without is not None
    assert told.offset == without.offset
    assert len(told.approaches) == 10


def test_the_words_say_which_way(past: tuple[History, History]) -> None:
    history, course = past
    report = course_report(course, history, AS_OF)
    assert report is not None
    short = replace(report, offset=CourseOffset(-0.05, 0.01, 12))
    long = replace(report, offset=CourseOffset(0.05, 0.05, 12))
    assert "shorter" in course_sentence(short, UnitChoice())
    assert "not shown yet" not in course_sentence(short, UnitChoice())
    assert "longer" in course_sentence(long, UnitChoice())
    assert "not shown yet" in course_sentence(long, UnitChoice())
