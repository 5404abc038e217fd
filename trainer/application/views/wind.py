"""A wind in a player's words: where it comes from, how strong that is, and what it means at the range."""

from __future__ import annotations

import math

from trainer.application.views.practice import WindView
from trainer.core.conditions import ReadingMethod, Wind, WindKnowledge, WindPlace, clock_hour
from trainer.core.constants import OPEN_COURSE_ROUGHNESS_M
from trainer.core.units import UnitChoice, from_si
from trainer.exchange.quantity_text import token_text
from trainer.exchange.wind_text import DEFAULT_HEIGHT_M

BEAUFORT_FROM_MPS = (0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7)
"""Least mean speed of each Beaufort number from 1, m/s at 10 m (WMO-No. 306, code table 1100)."""

BEAUFORT_WORDS = (
    "calm, smoke rises straight",
    "light air, smoke drifts",
    "light breeze, felt on the face",
    "gentle breeze, leaves move",
    "moderate breeze, small branches move",
    "fresh breeze, small trees sway",
    "strong breeze, large branches move",
    "near gale, hard to walk into",
    "gale, twigs break off",
    "strong gale",
    "storm",
    "violent storm",
    "hurricane",
)
"""The scale's names with a sign on land for each that one may stand in (WMO-No. 306, shortened)."""

_FROM = (
    "into the face",
    "into, a touch from the right",
    "into, from the right",
    "across, from the right",
    "behind, from the right",
    "behind, a touch from right",
    "from behind",
    "behind, a touch from left",
    "behind, from the left",
    "across, from the left",
    "into, from the left",
    "into, a touch from the left",
)


def beaufort(speed_mps: float) -> int:
    """The Beaufort number of a mean wind."""
    return sum(speed_mps >= least for least in BEAUFORT_FROM_MPS)


def at_ten_metres_mps(wind: Wind) -> float:
    """The mean wind at 10 m, where Beaufort's numbers are defined, by the log profile over an open course.

    Source: WMO-No. 8, u(z) in proportion to ln(z / z0).
    """
    aloft = math.log(10.0 / OPEN_COURSE_ROUGHNESS_M) / math.log(wind.height_m / OPEN_COURSE_ROUGHNESS_M)
    return wind.speed_mps * aloft


def view_wind(wind: Wind, units: UnitChoice, costs: tuple[str, ...] = ()) -> WindView:
    """`wind` in words, against the line its direction is given for."""
    if wind.knowledge is WindKnowledge.UNKNOWN:
        return WindView(False, False, 0.0, 0, "wind not known", "", "", "read it, even by feel", "")
    if wind.knowledge is WindKnowledge.CALM or wind.speed_mps == 0:
        return WindView(True, False, 0.0, 0, "no wind", "", "", BEAUFORT_WORDS[0], "")
    hour = clock_hour(wind.from_rad)
    number = beaufort(at_ten_metres_mps(wind))
    gust = "" if wind.gust_mps is None else f"gusts {units.shown_speed(wind.gust_mps)}"
    return WindView(
        known=True,
        blows=True,
        from_rad=wind.from_rad,
        beaufort=number,
        speed=f"{units.shown_speed(wind.speed_mps)} from {hour}h",
        gust=gust,
        direction=_FROM[hour % 12],
        strength=BEAUFORT_WORDS[number],
        source=_source(wind),
        costs=costs,
    )


def _source(wind: Wind) -> str:
    """How it was read, where that was not the usual way: a meter at 2 m in the open."""
    usual_height = wind.height_m == DEFAULT_HEIGHT_M[wind.method]
    said = [] if wind.method is ReadingMethod.METER and usual_height else [str(wind.method)]
    if not usual_height:
        said.append(f"at {wind.height_m:g} m")
    if wind.place is WindPlace.BAY:
        said.append("in the bay")
    return " ".join(said)


def typed_wind(wind: Wind, units: UnitChoice) -> str:
    """`wind` as its player would type it: `14 1h gust 20`; a direction between the hours in degrees."""
    if wind.knowledge is WindKnowledge.UNKNOWN:
        return "unknown"
    if wind.knowledge is WindKnowledge.CALM or wind.speed_mps == 0:
        return "calm"
    degrees = from_si(wind.from_rad, "deg") % 360
    hours = degrees / 30
    direction = f"{round(hours) or 12}h" if abs(hours - round(hours)) < 1e-6 else f"{degrees:.0f}deg"
    words = [f"{token_text(wind.speed_mps, units.speed)}{_unit_if_bare(wind.speed_mps, units)}", direction]
    if wind.gust_mps is not None:
        words.append(f"gust {token_text(wind.gust_mps, units.speed)}{_unit_if_bare(wind.gust_mps, units)}")
    if wind.method is not ReadingMethod.METER:
        words.append(str(wind.method))
    if wind.height_m != DEFAULT_HEIGHT_M[wind.method]:
        words.append(f"at {wind.height_m:g}m")
    if wind.place is not WindPlace.OPEN:
        words.append(str(wind.place))
    return " ".join(words)


def _unit_if_bare(speed_mps: float, units: UnitChoice) -> str:
    """The unit that makes a bare number plain to a reader."""
    return units.speed if token_text(speed_mps, units.speed)[-1].isdigit() else ""


def wind_line(view: WindView) -> str:
    """A wind in one line: `14 mph from 1h, gusts 20 mph, forecast`."""
    return ", ".join(part for part in (view.speed, view.gust, view.source) if part)


def named_wind(view: WindView) -> str:
    """`wind 14 mph from 1h`, `no wind`, `wind not known`: a wind in one line that says what it is."""
    return f"wind {wind_line(view)}" if view.blows else wind_line(view)
