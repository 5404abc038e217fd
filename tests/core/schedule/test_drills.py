"""The drills as data: complete, in words that can be filled in, and never a bare "club down"."""

from __future__ import annotations

import dataclasses
import re
import string

import pytest

from trainer.core.errors import InputError
from trainer.core.schedule.drill_kind import DrillKind, Use
from trainer.core.schedule.drills import DRILLS, drill_named
from trainer.core.schedule.stages import Stage

RANGE_DRILLS = """turf line check, grip-down steps, swing-length steps, club-down ladder, knockdown baseline,
into-and-down pairs, full-then-low pairs, low window, start-line gate, aim-off test, hold or ride, cover the front,
landing box, say it first, read the wind, choose blind, gust wait, mixed targets, cold first six, windy loop,
wet or cold check, warm-up, gapping round"""
FILLED = {"shot", "club", "grip", "swing", "target", "turn"}
BARE_CLUB_DOWN = re.compile(r"\bclub(s|bing)? down\b", re.IGNORECASE)
every_drill = pytest.mark.parametrize("kind", DRILLS.values(), ids=str)


def texts(kind: DrillKind) -> list[str]:
    found: list[str] = []
    for field in dataclasses.fields(kind):
        value = getattr(kind, field.name)
        found += [value] if isinstance(value, str) else []
        found += [part for part in value if isinstance(part, str)] if isinstance(value, tuple) else []
    return found


def test_all_are_there() -> None:
    assert set(DRILLS) == {" ".join(name.split()) for name in RANGE_DRILLS.split(",")}


@every_drill
def test_words(kind: DrillKind) -> None:
    for name in ("name", "purpose", "set_up", "asks", "scored_by", "teaches", "reason", "easier", "harder"):
        assert getattr(kind, name).strip()
    assert kind.cues
    assert all(kind.cues)
    assert kind.records
    assert not [text for text in texts(kind) if BARE_CLUB_DOWN.search(text)]


@every_drill
def test_reasons_can_be_filled_and_are_one_sentence(kind: DrillKind) -> None:
    for template in filter(None, (kind.reason, kind.reason_first)):
        assert {name for _, name, _, _ in string.Formatter().parse(template) if name} <= FILLED
        assert re.fullmatch(r"[^.]+\.", template)


@every_drill
def test_rules(kind: DrillKind) -> None:
    assert kind.balls > 0
    assert (kind.stage is Stage.WARM_UP) is (kind.use is Use.WARM_UP)
    assert kind.wind is None or (kind.wind.is_possible and not kind.any_wind)
    assert not (kind.reason_first and kind.turns)
    assert bool(kind.turns) is ("{turn}" in kind.reason)


def test_some_teach_the_low_flight() -> None:
    assert {kind.name for kind in DRILLS.values() if kind.teaches_low_flight} >= {"low window", "turf line check"}


def test_names_are_found_in_either_case() -> None:
    assert drill_named(" Club-Down  Ladder ").name == "club-down ladder"


def test_an_unknown_name_is_met_with_a_near_one() -> None:
    with pytest.raises(InputError) as caught:
        drill_named("club down lader", "here")
    assert "club-down ladder" in caught.value.remedy
    assert caught.value.where == "here"
