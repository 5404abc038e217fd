"""Result files as a player's store might write them, and worse, for the property tests."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from typing import Any

from hypothesis import strategies as st

from trainer.core.bag import Swing
from trainer.core.conditions import Ball, ReadingMethod, Seen, Surface, Turf, WindKnowledge, WindPlace
from trainer.core.profile import AgeBand, CarryBasis, Hand, Sees
from trainer.core.shot import CarryOrigin, Depth, Width
from trainer.exchange.result_file import FORMAT
from trainer.exchange.result_model import (
    ClubTable,
    FlagTable,
    KnownCarryTable,
    PlayerTable,
    ReadingTable,
    ResultTable,
    SessionTable,
    ShotTable,
    UnitsTable,
)

uids = st.text("0123456789abcdef", min_size=16, max_size=16)
_zones = st.sampled_from((None, *(timezone(timedelta(minutes=each)) for each in (0, 120, -570))))
moments = st.builds(
    lambda at, zone: at.replace(tzinfo=zone), st.datetimes(datetime(1990, 1, 1), datetime(2150, 1, 1)), _zones
)
texts = st.text(st.characters(categories=("L", "N", "P", "S")), min_size=1, max_size=30)
"""Words with brackets, quotes, equals signs and whatever else can be printed."""


def _floats(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@st.composite
def _players(draw: st.DrawFn) -> PlayerTable:
    names = draw(st.lists(st.sampled_from(("driver", "7 iron", "9 iron", "=my [old] club", "wedge")), min_size=1,
                          max_size=5, unique=True))  # fmt: skip
    clubs = [
        ClubTable(
            key=name,
            name=name,
            loft_rad=draw(_floats(0.1, 1.2)),
            length_m=draw(_floats(0.7, 1.3)),
            stock_carry_m=draw(_floats(10, 300)),
            retired=number > 0 and draw(st.booleans()),
        )
        for number, name in enumerate(names)
    ]
    return PlayerTable(
        id=draw(uids),
        as_of=draw(moments),
        hand=draw(st.sampled_from(Hand)),
        ball=draw(st.sampled_from(Ball)),
        surface=draw(st.sampled_from(Surface)),
        sees=draw(st.sampled_from(Sees)),
        seen=draw(st.sampled_from(Seen)),
        pin_depth_m=draw(_floats(0.5, 60)),
        pin_width_m=draw(_floats(0.5, 60)),
        grip_steps_m=[0.0, draw(_floats(0.001, 0.1))],
        units=UnitsTable(distance="yd", speed="mph", temperature="C", grip="in", height="ft"),
        known_carry=KnownCarryTable(
            club=names[0], carry_m=draw(_floats(10, 300)), basis=draw(st.sampled_from(CarryBasis))
        ),
        club=clubs,
        flag=[FlagTable(name="grün", distance_m=draw(_floats(6, 300)), bearing_rad=draw(_floats(-1, 1)))],
    )


@st.composite
def _readings(draw: st.DrawFn, uid: str) -> ReadingTable:
    return ReadingTable(
        id=uid,
        at=draw(moments),
        knowledge=draw(st.sampled_from(WindKnowledge)),
        speed_mps=draw(_floats(0, 40)),
        from_rad=draw(_floats(0, 6.28)),
        height_m=draw(_floats(0.5, 100)),
        method=draw(st.sampled_from(ReadingMethod)),
        place=draw(st.sampled_from(WindPlace)),
        gust_mps=draw(st.none() | _floats(0, 60)),
    )


_measures: dict[str, st.SearchStrategy[float]] = {
    "carry_m": _floats(0.1, 300),
    "total_m": _floats(0.1, 300),
    "side_m": _floats(-100, 100),
    "apex_m": _floats(0, 80),
    "hang_s": _floats(0.3, 12),
    "ball_speed_mps": _floats(5, 100),
    "launch_rad": _floats(0, 1.2),
    "spin_rad_s": _floats(0, 1500),
    "resolution_m": _floats(0.01, 50),
    "target_m": _floats(1, 300),
}


@st.composite
def _seen(draw: st.DrawFn) -> dict[str, Any]:
    """What was seen of a ball: numbers, a zone, or nothing."""
    kind = draw(st.sampled_from(("numbers", "zone", "unseen")))
    if kind == "unseen":
        return {"unseen": True}
    if kind == "zone":
        return {"depth": draw(st.sampled_from(Depth)), "width": draw(st.none() | st.sampled_from(Width))}
    return {name: draw(values) for name, values in _measures.items() if draw(st.booleans())}


@st.composite
def _shots(draw: st.DrawFn, uid: str, number: int, clubs: list[str], readings: list[str]) -> ShotTable:
    low = draw(_floats(1, 200))
    undone = draw(st.booleans())
    return ShotTable(
        id=uid,
        number=number,
        at=draw(moments),
        club=draw(st.sampled_from(clubs)),
        grip_down_m=draw(_floats(0, 0.1)),
        swing=draw(st.sampled_from(Swing)),
        ball_number=None if undone else draw(st.sampled_from((None, number))),
        drill=draw(st.just("") | texts),
        stage=draw(st.sampled_from(("", "settle", "test"))),
        reading=draw(st.none() | st.sampled_from(readings)) if readings else None,
        target_bearing_rad=draw(_floats(-1, 1)),
        ball=draw(st.sampled_from(Ball)),
        surface=draw(st.sampled_from(Surface)),
        seen=draw(st.sampled_from(Seen)),
        carry_is=draw(st.sampled_from(CarryOrigin)),
        mishit=draw(st.booleans()),
        called_80_m=draw(st.none() | st.tuples(st.just(low), _floats(low, 300))),
        mark=draw(st.sampled_from((None, "gust", "lull"))),
        source=draw(st.sampled_from(("typed", "table"))),
        tags=draw(st.lists(st.sampled_from(("closer", "a-1", "cold")), unique=True)),
        undone=undone,
        **draw(_seen()),
    )


@st.composite
def results(draw: st.DrawFn) -> ResultTable:
    """A whole result file's content."""
    player = draw(_players())
    ids = draw(st.lists(uids, min_size=9, max_size=9, unique=True))
    readings = [draw(_readings(uid)) for uid in ids[: draw(st.integers(0, 3))]]
    named = [reading.id for reading in readings]
    keys = [club.key for club in player.club]
    count = draw(st.integers(0, 4))
    return ResultTable(
        kind="result",
        format=FORMAT,
        alias=draw(texts),
        age_band=draw(st.none() | st.sampled_from(AgeBand)),
        handed_in_at=draw(moments),
        player=player,
        session=SessionTable(
            id=ids[4],
            started_at=draw(moments),
            ended_at=draw(st.none() | moments),
            plan=draw(st.sampled_from((None, "first-windy-evening-3f9a1c2d"))),
            seed=draw(st.none() | st.integers(0, 2**62)),
            air_temperature_k=draw(_floats(250, 320)),
            air_pressure_pa=draw(_floats(60_000, 105_000)),
            air_relative_humidity=draw(_floats(0, 1)),
            air_stated=draw(st.booleans()),
            turf=draw(st.sampled_from(Turf)),
            note=draw(st.just("") | texts),
        ),
        reading=readings,
        shot=[draw(_shots(ids[5 + i], i + 1, keys, named)) for i in range(count)],
    )
