"""A choice as a screen draws it: three choices, and which is the first one by the strength of the wind."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.application.choosing.choice_words import (
    RULE_4_3A,
    choice_head,
    choice_sentences,
    choice_text,
    option_lines,
    percent,
)
from trainer.application.choosing.course import CourseReport
from trainer.application.choosing.options import LEAST_LOOKED_AT_MPS, Choice, blowing_mps
from trainer.application.estimates.gapping import cell_words
from trainer.application.views.axis import Axis
from trainer.application.views.gaps import short_cell
from trainer.application.views.look import ChoiceView, OptionView, Stretch
from trainer.application.views.practice import harmless
from trainer.core.profile import Profile
from trainer.core.units import from_si

_WHY = "Why:"
RULE_SHORT = "Practice and planning only: in a round (Rule 4.3a) only the card."


def choice_view(choice: Choice, profile: Profile, course: CourseReport | None) -> ChoiceView:
    """The three choices with their words, and the winds in which the first one changes."""
    units = profile.units
    over = choice.target.carry_over_m is not None
    options = []
    for number, option in enumerate(choice.three, start=1):
        _, *lines = option_lines(number, option, units, over=over)
        options.append(
            OptionView(
                name=harmless(cell_words(option.cell, units)),
                hold=option.p_hold,
                hold_words=percent(option.p_hold),
                lines=tuple(harmless(line) for line in _sentences(lines)),
            )
        )
    asked, wind = choice_head(choice, units)
    axis = _winds(choice, units.speed)
    return ChoiceView(
        asked=harmless(asked),
        wind_words=harmless(wind),
        rule=RULE_4_3A,
        rule_short=RULE_SHORT,
        options=tuple(options),
        stretches=_stretches(choice, axis, profile),
        ticks=axis.ticks(unit=units.speed),
        blows=axis.share(from_si(blowing_mps(choice.conditions.wind), units.speed)),
        sentences=tuple(harmless(said) for said in choice_sentences(choice, profile.bag, units, course)),
        text=harmless(choice_text(choice, profile.bag, units, course), keep_lines=True),
    )


def _sentences(lines: Sequence[str]) -> tuple[str, str, str]:
    """The lines of an option, which are folded for paper: its figures, where to aim, and why."""
    figures, *others = lines
    aim, _, why = " ".join(line.strip() for line in others).partition(_WHY)
    return " ".join(figures.split()), aim.strip(), f"{_WHY}{why}"


def _winds(choice: Choice, unit: str) -> Axis:
    """Wind strengths from none to beyond every one that matters here."""
    speed = blowing_mps(choice.conditions.wind)
    top = max(LEAST_LOOKED_AT_MPS, 1.5 * speed, *(1.2 * flip.wind_mps for flip in choice.flips), 0.0)
    return Axis(0.0, from_si(top, unit))


def _stretches(choice: Choice, axis: Axis, profile: Profile) -> tuple[Stretch, ...]:
    units = profile.units
    flips = sorted(choice.flips, key=lambda flip: flip.wind_mps)
    first = flips[0].before if flips else choice.options[0].cell
    cells = [first, *(flip.after for flip in flips)]
    ends = [0.0, *(axis.share(from_si(flip.wind_mps, units.speed)) for flip in flips), 1.0]
    return tuple(
        Stretch(low, high, short_cell(cell, units))
        for cell, low, high in zip(cells, ends[:-1], ends[1:], strict=True)
    )
