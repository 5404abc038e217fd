"""A question typed on a screen, in the words of the commands' options without their dashes.

`150 front 141 back 163 wind 14mph 1h` is what `trainer choose 150 --front 141 --back 163 --wind 14mph --wind-from 1h`
asks. A word's value goes on to the next word.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from trainer.application.conditions.stated import StatedConditions
from trainer.application.conditions.stating import CONDITION_WORDS, one_of, quantity_in, state_conditions
from trainer.core.bag import Bag, Cell
from trainer.core.decide.choose import Aim
from trainer.core.decide.target import (
    DEFAULT_MARGIN_M,
    FARTHEST_TARGET_M,
    GREATEST_SLOPE_M,
    NEAREST_TARGET_M,
    Target,
    require_target,
)
from trainer.core.errors import InputError
from trainer.core.units import UnitChoice, require_range
from trainer.exchange.cell_text import parse_cell
from trainer.exchange.plain_text import first_unprintable, shown_text

TARGET_WORDS = ("front", "back", "left", "right", "carry-over", "slope", "aim")
LONGEST_QUESTION = 200


@dataclass(frozen=True, slots=True)
class Question:
    """What was typed: what stands before the first word, and the value of each word."""

    subject: str
    said: Mapping[str, str]


def read_question(text: str, words: Collection[str]) -> Question:
    """Take `text` apart at `words`. Raises InputError for a word said twice, one without a value, or a long line."""
    if len(text) > LONGEST_QUESTION or first_unprintable(text) is not None:
        raise InputError("this is no question", shown_text(text), f"use at most {LONGEST_QUESTION} plain characters")
    subject: list[str] = []
    said: dict[str, list[str]] = {}
    into = subject
    for token in text.split():
        # Dashes are taken off words only: `-4` is a value.
        word = token.lower().lstrip("-") if not token.lstrip("-−+.")[:1].isdigit() else ""
        if word in words:
            if word in said:
                raise InputError(f"{word} is said twice", word, "leave out one of the two")
            into = said.setdefault(word, [])
        else:
            into.append(token)
    for word, values in said.items():
        if not values and word != "calm":
            raise InputError(f"nothing follows '{word}'", word, "write its value behind it, or leave it out")
    return Question(" ".join(subject), {word: " ".join(values) for word, values in said.items()})


def state_target(distance: str, said: Mapping[str, str], units: UnitChoice, mark: str = "--") -> Target:
    """The target of a distance and what is said around it. Raises InputError for a senseless one."""
    read = quantity_in(units)

    def length(word: str, otherwise: float) -> float:
        return read(said[word], "length", "distance", f"{mark}{word}") if word in said else otherwise

    where = "DISTANCE" if mark else "distance"
    distance_m = read(distance, "length", "distance", where)
    require_range(distance_m, NEAREST_TARGET_M, FARTHEST_TARGET_M, units.distance, "a target", where)
    carry_over_m = length("carry-over", 0.0) if "carry-over" in said else None
    if carry_over_m is not None and carry_over_m <= 0:
        raise InputError("what is to be carried lies behind you", f"{mark}carry-over", "give its distance from you")
    slope_m = length("slope", 0.0)
    require_range(slope_m, -GREATEST_SLOPE_M, GREATEST_SLOPE_M, units.distance, "a slope", f"{mark}slope")
    return require_target(
        Target(
            distance_m,
            length("front", distance_m - DEFAULT_MARGIN_M),
            length("back", distance_m + DEFAULT_MARGIN_M),
            length("left", DEFAULT_MARGIN_M),
            length("right", DEFAULT_MARGIN_M),
            carry_over_m,
            slope_m,
        )
    )


def read_choice(text: str, units: UnitChoice, usual: str = "") -> tuple[Target, Aim, StatedConditions]:
    """A typed question for the chooser; `usual` are conditions that hold where the text says none of a wind."""
    question = read_question(text, {*TARGET_WORDS, *CONDITION_WORDS})
    if not question.subject:
        raise InputError("how far is the target?", "distance", "begin with a distance, such as 150 or 150yd")
    target = state_target(question.subject, question.said, units, "")
    aim = one_of(Aim, question.said.get("aim"), "aim") or Aim.HOLD
    return target, aim, conditions_of(question, units, usual)


def read_pair(text: str, bag: Bag, units: UnitChoice, usual: str = "") -> tuple[tuple[Cell, Cell], StatedConditions]:
    """Two shots with a semicolon (or `against`) between them, and conditions."""
    question = read_question(text, set(CONDITION_WORDS))
    parts = question.subject.replace(" against ", ";").replace(" vs ", ";").split(";")
    if len(parts) != 2:
        raise InputError(
            "two shots are compared",
            shown_text(question.subject),
            "write such as 7 iron; 5 iron, 1 in, three-quarter",
        )
    one, other = (parse_cell(part.strip(), bag, units) for part in parts)
    return (one, other), conditions_of(question, units, usual)


def read_card(text: str, units: UnitChoice, usual: str = "") -> tuple[tuple[str, ...], StatedConditions]:
    """The clubs of a card, parted by commas, and its weather; `clubs` before them may be left out."""
    question = read_question(text, {"clubs", *CONDITION_WORDS})
    named = " ".join([question.subject, question.said.get("clubs", "")])
    clubs = tuple(name.strip() for name in named.split(",") if name.strip())
    return clubs, conditions_of(question, units, usual)


def read_weather(text: str, units: UnitChoice) -> StatedConditions:
    """Conditions alone; what stands before their first word is a wind: `14mph 1h turf firm`."""
    return state_conditions(_weather_words(text), units, "")


def _weather_words(text: str) -> dict[str, str]:
    question = read_question(text, set(CONDITION_WORDS))
    said = dict(question.said)
    if question.subject:
        if said.get("wind"):
            raise InputError("the wind is said twice", shown_text(question.subject), "leave out one of the two")
        if question.subject.lower() == "calm":
            return {"calm": "", **said}
        said["wind"] = question.subject
    return said


def conditions_of(question: Question, units: UnitChoice, usual: str) -> StatedConditions:
    """The conditions of a question; where it tells of no wind, those of `usual` stand with what it adds."""
    said = {word: value for word, value in question.said.items() if word in CONDITION_WORDS}
    if not {"wind", "calm"} & set(said):
        said = {**_weather_words(usual), **said}
    return state_conditions(said, units, "")
