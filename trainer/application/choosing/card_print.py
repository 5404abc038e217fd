"""The pocket card on paper: as text, and as one A6 page of SVG, alone or inside HTML."""

from __future__ import annotations

import json
from html import escape

from trainer.application.choosing.card import ACROSS, Block, Card, Line, card_data
from trainer.application.choosing.course import course_sentence
from trainer.application.views.folding import folded
from trainer.application.views.words import air_words
from trainer.core.bag import Swing
from trainer.core.conditions import ReadingMethod
from trainer.core.units import UnitChoice, change_from_si, counted, from_si, whole

HOW_MADE = "large: usual carry; small: carried 8 times in 10, bad strikes in"


def card_text(card: Card, units: UnitChoice) -> str:
    """The card in 80 columns: usual carry / carry made 8 times in 10."""
    lines = [
        *folded(_title(card)),
        *folded(f"Carry in {units.distance}: usual/made 8 times in 10, bad strikes in. {_wind(card, units)}"),
    ]
    for block in card.blocks:
        lines += ["", _row(_block_name(block, units), [_short(cell.club) for cell in block.cells])]
        lines += [_row(_line_name(line, units), _pairs(line, units)) for line in block.lines]
        lines += [_row(name, values) for name, values in _others(block, units)]
    lines += ["", *folded(_foot(card, units))]
    return "\n".join(lines)


def _row(name: str, values: list[str]) -> str:
    return f"{name:17.17}" + "".join(f"{value:>10}" for value in values)


def _pairs(line: Line, units: UnitChoice) -> list[str]:
    return [
        f"{whole(from_si(usual, units.distance))}/{whole(from_si(made, units.distance))}"
        for usual, made in zip(line.usual_m, line.made_m, strict=True)
    ]


def _others(block: Block, units: UnitChoice) -> list[tuple[str, list[str]]]:
    """Drift, run and trust: a name and one word a club."""
    soft, firm = (
        [round(change_from_si(run, units.distance)) for run in runs] for runs in (block.run_soft_m, block.run_firm_m)
    )
    return [
        (f"drift, {ACROSS[units.speed]:g} across",
         [whole(abs(change_from_si(drift, units.distance))) for drift in block.drift_m]),
        ("run soft/firm", [f"{one}/{other}".replace("-", "−") for one, other in zip(soft, firm, strict=True)]),
        ("trust", [str(trust) for trust in block.trust]),
    ]  # fmt: skip


def _line_name(line: Line, units: UnitChoice) -> str:
    if line.into == 0:
        return "calm"
    return f"{'into' if line.into > 0 else 'down'} {abs(line.into):g} {units.speed}"


def _block_name(block: Block, units: UnitChoice) -> str:
    cell = block.cells[0]
    if cell.is_stock:
        return "FULL"
    grip = f", {units.shown_grip(cell.grip_down_m)}" if cell.grip_down_m else ""
    return f"LOW ¾{grip}" if cell.swing is Swing.THREE_QUARTER else f"{cell.swing}{grip}"


def _short(club: str) -> str:
    """A club's name in ten characters: `7 iron`, `p wedge`."""
    words = club.split()
    return f"{words[0][0]} wedge" if len(words) == 2 and words[1] == "wedge" else club[:9]


def _title(card: Card) -> str:
    return f"Pocket card of {card.alias}, prepared before the round on {card.prepared:%d %b %Y}"


def _wind(card: Card, units: UnitChoice) -> str:
    wind = card.conditions.wind
    how = {ReadingMethod.FORECAST: "as forecast", ReadingMethod.METER: "by meter", ReadingMethod.FELT: "as felt"}
    return f"Wind {how[wind.method]}, {wind.height_m:g} m up, in {units.speed}."


def _foot(card: Card, units: UnitChoice) -> str:
    rests = "the known carry and the flight calculation alone" if card.shots == 0 else counted(card.shots, "ball")
    course = ""
    if card.course is not None and card.course.says_enough:
        course = f" {course_sentence(card.course, units)}"
    return (
        f"Weather: {air_words(card.conditions.air, units)}, {card.conditions.ball} ball, level ground. Rests on "
        f"{rests}. Low is a three-quarter swing, gripped down. Drift is away from the wind, aim off into it. "
        "Guess: little tried; stale: not for 90 days. "
        f"Rule 4.3a allows notes made before the round; local rules decide.{course}"
    )


WIDTH_MM, HEIGHT_MM, MARGIN_MM = 105.0, 148.0, 4.0
LABEL_MM, ROW_MM = 17.0, 4.9
LARGE_MM, SMALL_MM, WORDS_MM = 3.3, 2.5, 2.3
_FONT = "font-family='DejaVu Sans, Liberation Sans, Helvetica, Arial, sans-serif'"


def card_svg(card: Card, units: UnitChoice) -> str:
    """The card as one A6 page of SVG, drawn in millimetres."""
    drawn = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH_MM:g}mm" height="{HEIGHT_MM:g}mm" '
        f"viewBox='0 0 {WIDTH_MM:g} {HEIGHT_MM:g}' {_FONT}>",
        f"<title>{escape(_title(card))}</title>",
        f"<rect width='{WIDTH_MM:g}' height='{HEIGHT_MM:g}' fill='#fff'/>",
    ]
    y = MARGIN_MM + 3.0
    heads = [(f"Pocket card: {card.alias[:30]}, {units.distance}", LARGE_MM, "bold"),
             (f"prepared before the round, {card.prepared:%d %b %Y}", SMALL_MM, "normal"),
             (HOW_MADE, WORDS_MM, "normal"), (_wind(card, units), WORDS_MM, "normal")]  # fmt: skip
    for text, size, weight in heads:
        drawn.append(_text(MARGIN_MM, y, text, size, weight=weight))
        y += size + 0.7
    y += 1.9
    for block in card.blocks:
        y = _draw_block(drawn, block, y, units)
    for line in folded(_foot(card, units)):
        drawn.append(_text(MARGIN_MM, y, line, WORDS_MM))
        y += WORDS_MM + 0.5
    return "\n".join([*drawn, "</svg>"])


def _draw_block(drawn: list[str], block: Block, y: float, units: UnitChoice) -> float:
    """Draw one block from `y` mm down; gives where the next thing may begin."""
    column = (WIDTH_MM - 2 * MARGIN_MM - LABEL_MM) / len(block.cells)
    middles = [MARGIN_MM + LABEL_MM + (i + 0.5) * column for i in range(len(block.cells))]
    drawn.append(_band(y, "#ddd"))
    drawn.append(_text(MARGIN_MM + 0.5, y, _block_name(block, units), WORDS_MM, weight="bold"))
    drawn += [
        _text(x, y, _short(cell.club), SMALL_MM, anchor="middle", weight="bold")
        for x, cell in zip(middles, block.cells, strict=True)
    ]
    for number, line in enumerate(block.lines):
        y += ROW_MM
        if number % 2:
            drawn.append(_band(y, "#f3f3f3"))
        drawn.append(_text(MARGIN_MM + 0.5, y, _line_name(line, units), WORDS_MM))
        for x, usual, made in zip(middles, line.usual_m, line.made_m, strict=True):
            large, small = (whole(from_si(value, units.distance)) for value in (usual, made))
            drawn.append(_text(x + 0.3, y, large, LARGE_MM, anchor="end", weight="bold"))
            drawn.append(_text(x + 0.9, y, small, SMALL_MM))
    for name, values in _others(block, units):
        y += ROW_MM - 0.7
        drawn.append(_text(MARGIN_MM + 0.5, y, name, WORDS_MM - 0.15))
        drawn += [_text(x, y, value, SMALL_MM, anchor="middle") for x, value in zip(middles, values, strict=True)]
    return y + ROW_MM + 0.6


def _band(y: float, fill: str) -> str:
    return (
        f"<rect x='{MARGIN_MM:g}' y='{y - ROW_MM + 1.2:.2f}' width='{WIDTH_MM - 2 * MARGIN_MM:g}' "
        f"height='{ROW_MM:g}' fill='{fill}'/>"
    )


def _text(x: float, y: float, text: str, size: float, *, anchor: str = "start", weight: str = "normal") -> str:
    return (
        f"<text x='{x:.2f}' y='{y:.2f}' font-size='{size:g}' text-anchor='{anchor}' font-weight='{weight}'>"
        f"{escape(text)}</text>"
    )


def card_html(card: Card, units: UnitChoice) -> str:
    """The same page inside HTML that prints on A6."""
    return "\n".join(
        [
            "<!doctype html>",
            '<html lang="en"><head><meta charset="utf-8">',
            f"<title>{escape(_title(card))}</title>",
            "<style>@page { size: 105mm 148mm; margin: 0 } body { margin: 0 } svg { display: block }</style>",
            "</head><body>",
            card_svg(card, units),
            "</body></html>",
        ]
    )


def printed(card: Card, units: UnitChoice, form: str) -> str:
    """The card as `text`, `html` or `svg`."""
    return {"text": card_text, "html": card_html, "svg": card_svg}[form](card, units)


def every_form(card: Card, units: UnitChoice) -> dict[str, str]:
    """The card in every form, its data as `json`: what is kept of it for a round."""
    forms = {form: printed(card, units, form) for form in ("text", "html", "svg")}
    return {**forms, "json": json.dumps(card_data(card, units), allow_nan=False, ensure_ascii=False)}
