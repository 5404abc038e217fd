"""A choice as text for a person and as data for a program."""

from __future__ import annotations

import math
from typing import Any

from trainer.application.choosing.course import CourseReport, course_sentence
from trainer.application.choosing.options import Choice, Flip, Option, blowing_mps
from trainer.application.estimates.gapping import cell_words
from trainer.application.flights.cell_flights import MISREAD_MPS
from trainer.application.views.folding import folded, wrapped
from trainer.application.views.words import (
    air_words,
    cell_data,
    range_data,
    wind_data,
    wind_words,
)
from trainer.core.bag import Bag
from trainer.core.conditions import WindKnowledge
from trainer.core.decide.choose import Aim
from trainer.core.units import UnitChoice, change_from_si, from_si, whole

AIM_WORDS = {Aim.HOLD: "hold the green", Aim.NEVER_SHORT: "never short", Aim.NEAREST: "nearest the target"}
RULE_4_3A = (
    "For practice and planning. In a round Rule 4.3a (Rules of Golf 2023) bars advice on a club from where the ball "
    "lies: print the card before it (trainer card); local rules decide."
)
MOST_FLIPS = 3


def choice_data(choice: Choice) -> dict[str, Any]:
    """The choice in SI, angles in degrees, every option best first."""
    target = choice.target
    return {
        "as_of": choice.as_of.isoformat(),
        "wind": wind_data(choice.conditions.wind),
        "wind_is_reading": choice.reading is not None,
        "target": {
            "distance_m": target.distance_m,
            "front_m": target.front_m,
            "back_m": target.back_m,
            "left_m": target.left_m,
            "right_m": target.right_m,
            "carry_over_m": target.carry_over_m,
            "slope_m": target.slope_m,
        },
        "aim": str(choice.aim),
        "options": [_option_data(option) for option in choice.options],
        "choices": list(choice.chosen),
        "rule_of_thumb_m": choice.rule_of_thumb_m,
        "still_air_equivalent_m": choice.still_air_equivalent_m,
        "flips": [_flip_data(flip) for flip in choice.flips],
        "misread": {
            "wrong_by_mps": choice.misread.wrong_by_mps,
            "p_as_read": choice.misread.as_read.tolist(),
            "p_less_wind": choice.misread.less.tolist(),
            "p_more_wind": choice.misread.more.tolist(),
        },
        "shots": choice.shots,
        "for_use": "practice and planning",
    }


def _option_data(option: Option) -> dict[str, Any]:
    return {
        **cell_data(option.cell),
        "carry_m": range_data(option.carry_m),
        "total_m": range_data(option.total_m),
        "descent_deg": {
            "median": math.degrees(option.descent_rad),
            "low80": math.degrees(option.descent_low80_rad),
            "high80": math.degrees(option.descent_high80_rad),
        },
        "apex_m": option.apex_m,
        "run_m": option.run_m,
        "wind_cost_5mph_m": option.wind_cost_m,
        "aim_side_m": option.aim_side_m,
        "p_over": option.p_over,
        "p_hold": option.p_hold,
        "p_short": option.p_short,
        "p_long": option.p_long,
        "p_left": option.p_left,
        "p_right": option.p_right,
        "trust": str(option.trust),
        "basis": option.basis,
        "extrapolated": option.extrapolated,
    }


def _flip_data(flip: Flip) -> dict[str, Any]:
    return {
        "wind_mps": flip.wind_mps,
        "plus_minus_mps": flip.plus_minus_mps,
        "from": cell_data(flip.before),
        "to": cell_data(flip.after),
    }


def choice_text(choice: Choice, bag: Bag, units: UnitChoice, course: CourseReport | None = None) -> str:
    """Three choices with their chances, what would change the answer, and the rule of thumb; 80 columns.

    What his rounds say of the range's numbers, `course`, stands at the end where it says enough.
    """
    over = choice.target.carry_over_m is not None
    unit = units.distance
    lines = [
        *(line for said in choice_head(choice, units) for line in folded(said)),
        *folded(RULE_4_3A),
        "",
        f"In {unit}, 8 balls in 10 within the brackets:",
    ]
    for number, option in enumerate(choice.three, start=1):
        lines += option_lines(number, option, units, over=over)
    return "\n".join([*lines, "", *wrapped(choice_sentences(choice, bag, units, course))])


def choice_head(choice: Choice, units: UnitChoice) -> tuple[str, str]:
    """What was asked for, and the wind it was asked in."""
    return _asked_words(choice, units), f"Wind: {_conditions_words(choice, units)}"


def choice_sentences(
    choice: Choice, bag: Bag, units: UnitChoice, course: CourseReport | None = None
) -> tuple[str, ...]:
    """What would change the answer, what a misread wind costs, the rule of thumb, and what it all rests on."""
    return (
        *_hopeless(choice),
        *_flips(choice, units),
        *_misread(choice, units),
        _rule(choice, bag, units),
        *_rests_on(choice),
        *_course(course, units),
    )


def _conditions_words(choice: Choice, units: UnitChoice) -> str:
    conditions = choice.conditions
    source = "your last reading, with its error" if choice.reading is not None else "as stated"
    if choice.reading is None and conditions.wind.knowledge is WindKnowledge.CALM:
        source = "none stated or read today"
    return f"{wind_words(conditions.wind, units)} ({source}); {air_words(conditions.air, units)}"


def _asked_words(choice: Choice, units: UnitChoice) -> str:
    target = choice.target

    def said(metres: float) -> str:
        return whole(from_si(metres, units.distance))

    words = (
        f"To {units.shown_distance(target.distance_m)}: front {said(target.front_m)}, back {said(target.back_m)}, "
        f"{said(target.left_m)} left and {said(target.right_m)} right of the line"
    )
    if target.carry_over_m is not None:
        words += f"; carry {said(target.carry_over_m)}"
    if target.slope_m:
        words += f"; {said(abs(target.slope_m))} {'up' if target.slope_m > 0 else 'down'}"
    return f"{words}. Asked for: {AIM_WORDS[choice.aim]}."


def option_lines(number: int, option: Option, units: UnitChoice, *, over: bool) -> list[str]:
    """One choice: its name, its figures and chances, where to aim, and why; 80 columns."""
    indent = "    "
    figures = (
        f"{indent}carry {option.carry_m.words(units):15}total {option.total_m.words(units):15}"
        f"hold {percent(option.p_hold):5}short {percent(option.p_short):5}long {percent(option.p_long)}"
    )
    sides = f"{_aim_words(option, units)}; left {percent(option.p_left)}, right {percent(option.p_right)}"
    if over and option.p_over is not None:
        sides += f"; carries it {percent(option.p_over)}"
    sides += f"; {_basis_words(option)}"
    return [
        f"{number} {cell_words(option.cell, units)}",
        figures,
        *folded(sides, indent=indent),
        *folded(_why(option, units), indent=indent),
    ]


def _why(option: Option, units: UnitChoice) -> str:
    """One sentence: how it comes in, and what more wind does to it."""
    cost = round(change_from_si(option.wind_cost_m, units.distance))
    wind = f"{units.shown_speed(MISREAD_MPS)} more wind"
    change = f"{wind} changes little" if cost == 0 else f"{wind} {'takes' if cost < 0 else 'adds'} {abs(cost)}"
    run = round(change_from_si(option.run_m, units.distance))
    rolls = f"runs {run}" if run > 0 else "stops where it lands" if run == 0 else f"spins back {-run}"
    height = f"{from_si(option.apex_m, units.height):.0f} {units.height}"
    steep, least, most = (
        f"{math.degrees(angle):.0f}"
        for angle in (option.descent_rad, option.descent_low80_rad, option.descent_high80_rad)
    )
    return f"Why: peaks at {height}, lands {steep}° ({least}–{most}) steep and {rolls}; {change}."


def _basis_words(option: Option) -> str:
    if option.basis == "priors alone":
        return "from the known carry alone"
    if option.basis == "worked out":
        return "never hit, worked out from others"
    return f"{option.trust}, outside the winds you hit in" if option.extrapolated else str(option.trust)


def _aim_words(option: Option, units: UnitChoice) -> str:
    side = round(change_from_si(option.aim_side_m, units.distance))
    return "aim at it" if side == 0 else f"aim {abs(side)} {units.distance} {'right' if side > 0 else 'left'}"


def percent(share: float) -> str:
    """To 5 %, which is as well as it is known."""
    rounded = 5 * round(20 * share)
    return "<5%" if share > 0 and rounded == 0 else f"{rounded}%"


def _hopeless(choice: Choice) -> list[str]:
    best = max(option.p_hold for option in choice.options)
    return ["No shot of this bag does this often: choose the miss you can live with."] if best < 0.05 else []


def _flips(choice: Choice, units: UnitChoice) -> list[str]:
    """`Over the wind's strength: below 6 mph 8 iron, full; above 6 mph (known to ±3) 7 iron, full.`"""
    wind = choice.conditions.wind
    way = "from this direction" if blowing_mps(wind) else "into the face"
    first = cell_words(choice.options[0].cell, units)
    if not choice.flips:
        return [f"In any wind {way} that was looked at the first choice stays the {first}."]
    shown = sorted(choice.flips, key=lambda flip: abs(flip.wind_mps - blowing_mps(wind)))[:MOST_FLIPS]
    shown.sort(key=lambda flip: flip.wind_mps)
    parts = [f"below {units.shown_speed(shown[0].wind_mps)} the {cell_words(shown[0].before, units)}"]
    for flip in shown:
        parts.append(
            f"above {units.shown_speed(flip.wind_mps)} ({_known(flip, units)}) the {cell_words(flip.after, units)}"
        )
    return [f"By the strength of a wind {way}: {'; '.join(parts)}."]


def _known(flip: Flip, units: UnitChoice) -> str:
    """How surely a switch is known; one that may as well lie at nothing is hardly known."""
    if flip.plus_minus_mps > flip.wind_mps:
        return "hardly known"
    return f"known to ±{max(1, round(change_from_si(flip.plus_minus_mps, units.speed)))}"


def _misread(choice: Choice, units: UnitChoice) -> list[str]:
    """What 5 mph more or less costs, and whether the lower shot is then the safer one."""
    three, cost = choice.three, choice.misread
    wrong = units.shown_speed(cost.wrong_by_mps)
    said = (
        f"If the wind is {wrong} more than you think, the first does it {percent(float(cost.more[0]))} "
        f"instead of {percent(float(cost.as_read[0]))}"
    )
    if blowing_mps(choice.conditions.wind) > 0:
        said += f"; {wrong} less, {percent(float(cost.less[0]))}"
    safest = int(cost.unsure.argmax())
    if safest == 0:
        return [f"{said}. Unsure of the wind? The first is still the best of the three."]
    low = three[safest].apex_m < three[0].apex_m
    name = cell_words(three[safest].cell, units)
    return [f"{said}. Unsure of the wind? {'Go low' if low else 'Rather'}: the {name}."]


def _rule(choice: Choice, bag: Bag, units: UnitChoice) -> str:
    rule = choice.rule_of_thumb_m
    club = min(bag.clubs, key=lambda each: abs(each.stock_carry_m - rule))
    said = (
        f"Rule of thumb (common practice): play it as {units.shown_distance(rule)}, a full {club.name} by its stated "
        "carry; "
    )
    if choice.still_air_equivalent_m is None:
        return f"{said}no stock full swing of yours carries just the target here."
    own = units.shown_distance(choice.still_air_equivalent_m)
    apart = round(change_from_si(choice.still_air_equivalent_m - rule, units.distance))
    if apart == 0:
        return f"{said}for your full swings it plays as {own}, the same."
    return f"{said}for your full swings it plays as {own}, {abs(apart)} {'longer' if apart > 0 else 'shorter'}."


def _course(course: CourseReport | None, units: UnitChoice) -> list[str]:
    if course is None or not course.says_enough:
        return []
    return [f"{course_sentence(course, units)} These figures are the range's."]


def _rests_on(choice: Choice) -> list[str]:
    if choice.shots == 0:
        return [
            "No ball of your clubs is recorded yet: every figure comes from the one known carry and the flight "
            "calculation."
        ]
    return ["Chances are to 5 % and include bad strikes, gusts, the reading's error and the bounce."]
