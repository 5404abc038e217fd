"""What the screens that look at what is known are given: frozen, in words and ready to draw. Nothing heavy is loaded.

A place on an axis is a share of its length, from 0 to 1, so that a widget only has to know how many columns it has.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.application.views.practice import PlanRow, WindView
from trainer.core.bag import Cell


@dataclass(frozen=True, slots=True)
class Tick:
    """A number written at a place of an axis."""

    at: float
    word: str


@dataclass(frozen=True, slots=True)
class Bar:
    """A range on an axis with its middle, and its words: `150 (141–160)`."""

    low: float
    middle: float
    high: float
    words: str


@dataclass(frozen=True, slots=True)
class Hole:
    """A gap from one shot's carry to the next longer one's."""

    low: float
    high: float
    words: str


@dataclass(frozen=True, slots=True)
class GapRow:
    """One shot of the table. `trust` is its word, `not hit` where it was not.

    `beyond` is the gap behind it, None where there is none; `twins` is a letter that shots doing the same job share.
    `words` say all of it in one line, `detail` in sentences.
    """

    cell: Cell
    name: str
    trust: str
    bar: Bar
    beyond: Hole | None
    twins: str
    words: str
    detail: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GapTable:
    """Shots in the order of their carries, nearest first, on one axis. `spacing` tells gaps and overlaps."""

    rows: tuple[GapRow, ...]
    ticks: tuple[Tick, ...]
    spacing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GapsView:
    """The gapping table in one wind: `few` shots that matter and `every` one, each in still air and today.

    `text_few` and `text_every` are what the command prints.
    """

    unit: str
    wind: WindView
    wind_words: str
    few_still: GapTable
    few_today: GapTable
    every_still: GapTable
    every_today: GapTable
    advice: tuple[str, ...]
    text_few: str
    text_every: str

    def table(self, *, still: bool, every: bool) -> GapTable:
        """One of the four."""
        if every:
            return self.every_still if still else self.every_today
        return self.few_still if still else self.few_today


@dataclass(frozen=True, slots=True)
class PatternPoint:
    """Where a ball lies: across from 0 (left) to 1, away from 0 (near) to 1; `kind` is what its mark stands for."""

    across: float
    away: float
    kind: str


@dataclass(frozen=True, slots=True)
class PatternView:
    """Where the balls of a shot came down. `line` is where the target line lies across, `target` how far."""

    points: tuple[PatternPoint, ...]
    across: tuple[Tick, ...]
    away: tuple[Tick, ...]
    line: float
    sentences: tuple[str, ...]
    target: float | None = None


@dataclass(frozen=True, slots=True)
class Hump:
    """How likely each carry is: heights from 0 to 1 at even steps along the axis, and the range of 8 in 10."""

    name: str
    heights: tuple[float, ...]
    bar: Bar


@dataclass(frozen=True, slots=True)
class EstimateView:
    """What is known of a shot's carry, in still air and today; `balls` are the seen ones worked back to still air."""

    still: Hump
    today: Hump
    ticks: tuple[Tick, ...]
    balls: tuple[float, ...]
    sentences: tuple[str, ...]


Path = tuple[tuple[float, float], ...]
"""Points (along, aside) as shares of a picture."""


@dataclass(frozen=True, slots=True)
class FlightsView:
    """Two flights in one picture, from the side and from above, and what is compared of them line by line.

    From above the target line lies at 0.5, and left of it is up: more than 0.5. `typed` are the two as they would be
    typed.
    """

    names: tuple[str, str]
    typed: str
    side: tuple[Path, Path]
    above: tuple[Path, Path]
    along: tuple[Tick, ...]
    heights: tuple[Tick, ...]
    across: tuple[Tick, ...]
    rows: tuple[tuple[str, str, str], ...]
    wind_words: str
    text: str


@dataclass(frozen=True, slots=True)
class CellView:
    """All of one shot: its last balls, its pattern, its estimate, and its flight beside its counterpart's."""

    cell: Cell
    name: str
    wind: WindView
    summary: tuple[str, ...]
    shots_head: str
    shots: tuple[str, ...]
    pattern: PatternView | None
    estimate: EstimateView
    flights: FlightsView
    text: str


@dataclass(frozen=True, slots=True)
class OptionView:
    """One of the three choices: its name, the chance that it does what is asked, and its lines."""

    name: str
    hold: float
    hold_words: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stretch:
    """Winds of rising strength in which one shot is the first choice, as shares of the axis."""

    low: float
    high: float
    name: str


@dataclass(frozen=True, slots=True)
class ChoiceView:
    """Three choices for a target; `stretches` on an axis of wind strength, `blows` where the wind is on it."""

    asked: str
    wind_words: str
    rule: str
    rule_short: str
    options: tuple[OptionView, ...]
    stretches: tuple[Stretch, ...]
    ticks: tuple[Tick, ...]
    blows: float
    sentences: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class CardView:
    """The card as it is printed, in the three forms. `locked` says so where it is the one of a round that is on."""

    text: str
    html: str
    svg: str
    locked: str = ""


@dataclass(frozen=True, slots=True)
class KindView:
    """Errors of one kind of balls on one axis of per cent: as seen, and about what the wind made to be expected."""

    name: str
    raw: Bar | None
    adjusted: Bar | None
    verdict: str


@dataclass(frozen=True, slots=True)
class HeldView:
    """How often called ranges of one width held, beside what was to be expected; shares."""

    name: str
    held: float
    expected: float
    words: str


@dataclass(frozen=True, slots=True)
class ProgressView:
    """Progress: the kinds apart, called ranges held, and all of it as the command prints it."""

    kinds: tuple[KindView, ...]
    ticks: tuple[Tick, ...]
    calls: tuple[HeldView, ...]
    calls_words: str
    text: str


@dataclass(frozen=True, slots=True)
class PlansView:
    """The plans, what is due next, and the files that are broken."""

    rows: tuple[PlanRow, ...]
    due: str
    problems: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class PlanBallsView:
    """A plan's balls for one wind: what was swapped and why, what else is to be said, every ball with its reason.

    `wind_typed` is the wind as it would be typed, empty where none is known.
    """

    plan_id: str
    title: str
    head: str
    swaps: tuple[str, ...]
    notes: tuple[str, ...]
    balls: tuple[str, ...]
    wind_typed: str
    text: str
