"""Views made by hand, so that pictures of them depend on no sum."""

from __future__ import annotations

import math

from trainer.application.views.look import (
    Bar,
    CellView,
    ChoiceView,
    EstimateView,
    FlightsView,
    GapRow,
    GapsView,
    GapTable,
    HeldView,
    Hole,
    Hump,
    KindView,
    OptionView,
    Path,
    PatternPoint,
    PatternView,
    ProgressView,
    Stretch,
    Tick,
)
from trainer.application.views.practice import WindView
from trainer.core.bag import Cell, Swing

WIND = WindView(True, True, 0.5, 5, "14 mph from 1h", "", "into, a touch from the right", "fresh breeze", "")
_TRUSTS = ("settled", "working", "guess", "stale", "not hit")


def gap_table(rows: int = 5, *, later: float = 0.0) -> GapTable:
    made = []
    for place in range(rows):
        middle = later + 0.1 + 0.7 * place / max(rows - 1, 1)
        trust = _TRUSTS[place % len(_TRUSTS)]
        low, high = middle - 0.03 - 0.01 * place, middle + 0.03 + 0.01 * place
        bar = Bar(low, middle, high, f"{90 + 15 * place} ({80 + 15 * place}–{100 + 15 * place})")
        beyond = Hole(middle, middle + 0.7 / max(rows - 1, 1), "18 yd gap") if place == 1 else None
        twins = "A" if place in (2, 3) else ""
        made.append(
            GapRow(
                cell=Cell("7 iron", 0.0254 * place, Swing.HALF),
                name=f"7 iron {place} in ½",
                trust=trust,
                bar=bar,
                beyond=beyond,
                twins=twins,
                words=f"7 iron, {place} in down, half: {bar.words}; {trust}",
                detail=(f"7 iron, {place} in down, half: {bar.words}; {trust}.", "Today it peaks at 60 ft."),
            )
        )
    ticks = (Tick(0.0, "80"), Tick(0.5, "120"), Tick(1.0, "160"))
    return GapTable(tuple(made), ticks, ("18 yd gap today between one and the next.",))


def gaps_view() -> GapsView:
    return GapsView(
        unit="yd",
        wind=WIND,
        wind_words="14 mph from 1h (30°), meter at 2 m (as stated); 59 °F, 1013 hPa",
        few_still=gap_table(later=0.05),
        few_today=gap_table(),
        every_still=gap_table(12, later=0.05),
        every_today=gap_table(12),
        advice=("Hit some balls in another wind.",),
        text_few="the few",
        text_every="every one",
    )


def hump(name: str, middle: float) -> Hump:
    heights = tuple(math.exp(-(((place / 119 - middle) / 0.12) ** 2)) for place in range(120))
    return Hump(name, heights, Bar(middle - 0.1, middle, middle + 0.1, f"{100 + 40 * middle:.0f} (90–120)"))


def flights_view() -> FlightsView:
    def path(top: float, far: float) -> Path:
        return tuple((far * i / 60, top * 4 * (i / 60) * (1 - i / 60)) for i in range(61))

    def curve(off: float) -> Path:
        return tuple((0.9 * i / 60, 0.5 + off * (i / 60) ** 2) for i in range(61))

    return FlightsView(
        names=("7 iron full", "5 iron 1 in ¾"),
        typed="7 iron; 5 iron, 1 in, three-quarter",
        side=(path(0.9, 0.9), path(0.4, 0.95)),
        above=(curve(0.3), curve(0.15)),
        along=(Tick(0.0, "0"), Tick(0.5, "70"), Tick(1.0, "140 yd")),
        heights=(Tick(0.0, "0"), Tick(1.0, "100 ft")),
        across=(Tick(0.0, "20R"), Tick(0.5, "0"), Tick(1.0, "20L")),
        rows=(
            ("", "7 iron, full", "5 iron, 1 in down, three-quarter"),
            ("carry here, yd", "118 (112–125)", "128 (121–136)"),
            ("run, yd", "1", "14"),
        ),
        wind_words="14 mph from 1h (30°), meter at 2 m",
        text="two shots",
    )


def cell_view() -> CellView:
    points = (
        PatternPoint(0.4, 0.5, "last day"),
        PatternPoint(0.4, 0.5, "earlier"),
        PatternPoint(0.6, 0.9, "earlier"),
        PatternPoint(0.1, 0.1, "mishit"),
    )
    ticks = (Tick(0.0, "10L"), Tick(0.5, "0"), Tick(1.0, "10R"))
    return CellView(
        cell=Cell("7 iron"),
        name="7 iron, full",
        wind=WIND,
        summary=("still air 147 (140–155) yd, today 118 (112–125); 14 balls on 2 days, working", "today: 14 mph"),
        shots_head="day       carry side  wind                   in still air",
        shots=("07 May 26   131   6R  10 mph from 1h         about 143", "07 May 26    84   2L  mishit"),
        pattern=PatternView(points, ticks, (Tick(0.0, "80"), Tick(1.0, "140 yd")), 0.5, ("3 struck balls.",)),
        estimate=EstimateView(
            hump("still air", 0.7),
            hump("today", 0.3),
            (Tick(0.0, "100"), Tick(0.5, "120"), Tick(1.0, "140 yd")),
            (0.6, 0.7, 0.72),
            ("3 seen balls worked back to still air.",),
        ),
        flights=flights_view(),
        text="all of it",
    )


def choice_view() -> ChoiceView:
    options = tuple(
        OptionView(name, hold, words, (f"carry {carry} total {carry + 10}", "aim at it", "Why: peaks at 60 ft."))
        for name, hold, words, carry in (
            ("7 iron, full", 0.62, "60%", 132),
            ("6 iron, 1 in down, three-quarter", 0.55, "55%", 130),
            ("5 iron, 2 in down, half", 0.031, "<5%", 121),
        )
    )
    return ChoiceView(
        asked="To 140 yd: front 130, back 150, 10 left and 10 right of the line. Asked for: hold the green.",
        wind_words="Wind: 14 mph from 1h (30°), meter at 2 m (as stated); 59 °F, 1013 hPa",
        rule="For practice and planning.",
        rule_short="Practice and planning only: in a round (Rule 4.3a) only the card.",
        options=options,
        stretches=(Stretch(0.0, 0.4, "8 iron full"), Stretch(0.4, 0.7, "7 iron full"), Stretch(0.7, 1.0, "6 iron ¾")),
        ticks=(Tick(0.0, "0"), Tick(0.5, "10"), Tick(1.0, "20 mph")),
        blows=0.6,
        sentences=("Rule of thumb (common practice): play it as 154 yd; for your full swings it plays as 160 yd.",),
        text="three choices",
    )


def progress_view() -> ProgressView:
    return ProgressView(
        kinds=(
            KindView("stayed", Bar(0.1, 0.3, 0.6, "4.0 % (1–8)"), Bar(0.1, 0.25, 0.5, "3.4 % (1–7)"), "12 balls"),
            KindView("carries over", None, None, "no ball yet"),
            KindView("practice", Bar(0.4, 0.5, 0.6, "6.1 % (5.0–7.0)"), None, "90 balls on 3 days; no clear change"),
        ),
        ticks=(Tick(0.0, "0"), Tick(0.5, "6"), Tick(1.0, "12 %")),
        calls=(HeldView("the 8-in-10", 0.78, 0.8, "held 28 of 36, │ 29 expected"),),
        calls_words="36 balls called before they were hit",
        text="Progress\n- practice: no clear change",
    )
