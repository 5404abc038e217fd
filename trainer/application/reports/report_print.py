"""A player's report on paper: as text in 80 columns, and as one page of HTML with the gaps drawn."""

from __future__ import annotations

from trainer.application.estimates.gapping import cell_words
from trainer.application.estimates.snapshot import CellFigures, Range80
from trainer.application.reports.player_report import PlayerReport, progress_sentences, unknown_sentences
from trainer.application.views.folding import folded, wrapped
from trainer.application.views.words import conditions_words, gaps_text
from trainer.core.units import UnitChoice, from_si, whole
from trainer.exchange.interval_chart import Axis, Interval, axis_over, draw_axis, draw_intervals
from trainer.exchange.page_svg import (
    HEIGHT_MM,
    INNER_MM,
    MARGIN_MM,
    WIDTH_MM,
    broken,
    fitted,
    html,
    page,
    rule,
    words,
)

TITLE_MM, WORDS_MM, ROW_MM, LINE_MM, HEADING_MM = 5.5, 2.8, 4.5, 3.9, 7.5
TABLE_TOP_MM, AXIS_MM = 42.0, 9.0
STILL_END, TODAY_END, HIT_END, TRUST_AT, CHART_FROM = 84.0, 109.0, 117.0, 119.0, 135.0
"""Where columns end or begin, mm from the left edge of the page."""

BULLET, INDENT_MM = "•", 3.0
MOST_LINES = 26
"""Lines of words below the table; what is beyond them is left to `trainer progress`."""

FOOT = "For practice and planning. In a round Rule 4.3a and local rules decide what may be used."
HOW = "Drawn: still air a line, today a bar, each holds 8 in 10; marks are medians. Trust –: not hit, worked out."


def report_text(report: PlayerReport) -> str:
    """The table, the progress and what is not known (that is in the table's notes), in 80 columns."""
    lines = [
        *folded(f"Report of {report.profile.alias}, {report.table.as_of:%d %b %Y}"),
        "",
        gaps_text(report.table, report.profile, every_cell=False),
        "",
        "Progress",
        *wrapped(progress_sentences(report.progress)),
        "",
        *folded(FOOT),
    ]
    return "\n".join(lines)


def report_html(report: PlayerReport) -> str:
    """The report as one HTML file that prints on one page, A4 or Letter."""
    title = f"Report of {report.profile.alias}, {report.table.as_of:%d %b %Y}"
    return html(title, [page(title, _drawn(report, title))])


def _drawn(report: PlayerReport, title: str) -> list[str]:
    units = report.profile.units
    below = _paragraphs(report)
    room = HEIGHT_MM - MARGIN_MM - TABLE_TOP_MM - AXIS_MM - LINE_MM
    words_mm = sum(HEADING_MM + len(lines) * LINE_MM for _, lines in below)
    fit = int((room - words_mm) / ROW_MM)
    rows = _rows_that_fit(report.rows, fit)
    drawn = [
        words(MARGIN_MM, MARGIN_MM + 6, fitted(title, TITLE_MM, INNER_MM, bold=True), TITLE_MM, weight="bold"),
        *_sentences(f"Today: {conditions_words(report.table, units)}.", MARGIN_MM + 12),
        words(MARGIN_MM, MARGIN_MM + 20.5, HOW, WORDS_MM),
    ]
    drawn += _table(rows, units)
    y = TABLE_TOP_MM + len(rows) * ROW_MM + AXIS_MM
    for heading, lines in below:
        drawn.append(words(MARGIN_MM, y + HEADING_MM - 2, heading, WORDS_MM + 0.6, weight="bold"))
        y += HEADING_MM
        for line in lines:
            if line.startswith(BULLET):
                drawn.append(words(MARGIN_MM, y + LINE_MM - 1, BULLET, WORDS_MM))
            drawn.append(words(MARGIN_MM + INDENT_MM, y + LINE_MM - 1, line.removeprefix(BULLET), WORDS_MM))
            y += LINE_MM
    left_out = len(report.rows) - len(rows)
    foot = f"{FOOT} {left_out} more shots: trainer gaps." if left_out else FOOT
    return [*drawn, words(MARGIN_MM, HEIGHT_MM - MARGIN_MM + 2, foot, WORDS_MM)]


def _sentences(text: str, y: float) -> list[str]:
    lines = broken(text, WORDS_MM, INNER_MM)[:2]
    return [words(MARGIN_MM, y + number * LINE_MM, line, WORDS_MM) for number, line in enumerate(lines)]


def _paragraphs(report: PlayerReport) -> list[tuple[str, list[str]]]:
    """Headings with their lines, cut to what a page can hold beside its table."""
    found = []
    left = MOST_LINES
    parts = (("Progress", progress_sentences(report.progress)), ("Not known yet", unknown_sentences(report)))
    for heading, said in parts:
        lines = [
            line if number else f"{BULLET}{line}"
            for sentence in said
            for number, line in enumerate(broken(sentence, WORDS_MM, INNER_MM - INDENT_MM))
        ]
        if len(lines) > left:
            lines = [*lines[: max(left - 1, 0)], "… and more: trainer gaps, trainer progress"]
        left -= len(lines)
        found.append((heading, lines))
    return found


def _rows_that_fit(rows: tuple[CellFigures, ...], fit: int) -> list[CellFigures]:
    """All of the rows, or those hit most where they do not fit, in the table's order."""
    chosen = sorted(rows, key=lambda row: (-row.shots, not row.cell.is_stock))[:fit]
    kept = {row.cell for row in chosen}
    return [row for row in rows if row.cell in kept]


def _table(rows: list[CellFigures], units: UnitChoice) -> list[str]:
    top, bottom = TABLE_TOP_MM, TABLE_TOP_MM + len(rows) * ROW_MM
    shown = [(_interval(row.still_air_carry_m, units), _interval(row.carry_today_m, units)) for row in rows]
    axis = axis_over([each for pair in shown for each in pair], CHART_FROM, WIDTH_MM - MARGIN_MM - 2)
    drawn = [
        words(MARGIN_MM, top - 1.5, f"shot ({units.distance})", WORDS_MM, weight="bold"),
        *(
            words(end, top - 1.5, head, WORDS_MM, anchor="end", weight="bold")
            for end, head in ((STILL_END, "still air"), (TODAY_END, "today"), (HIT_END, "hit"))
        ),
        words(TRUST_AT, top - 1.5, "trust", WORDS_MM, weight="bold"),
        rule(MARGIN_MM, top, WIDTH_MM - MARGIN_MM, top, width=0.3),
        *draw_axis(axis, top, bottom, units.distance),
    ]
    for number, (row, (still, today)) in enumerate(zip(rows, shown, strict=True)):
        drawn += _row(row, still, today, axis, top + (number + 0.5) * ROW_MM, units)
    return drawn


def _row(row: CellFigures, still: Interval, today: Interval, axis: Axis, y: float, units: UnitChoice) -> list[str]:
    name = fitted(cell_words(row.cell, units), WORDS_MM - 0.2, STILL_END - 23 - MARGIN_MM)
    base = y + 1.0
    return [
        words(MARGIN_MM, base, name, WORDS_MM - 0.2),
        words(STILL_END, base, _carry(still), WORDS_MM - 0.2, anchor="end"),
        words(TODAY_END, base, _carry(today), WORDS_MM - 0.2, anchor="end", weight="bold"),
        words(HIT_END, base, str(row.shots), WORDS_MM - 0.2, anchor="end"),
        words(TRUST_AT, base, str(row.trust) if row.shots else "–", WORDS_MM - 0.2),
        *draw_intervals(axis, y, still, today),
    ]


def _carry(carry: Interval) -> str:
    return f"{whole(carry.median)} ({whole(carry.low)}–{whole(carry.high)})"


def _interval(carry: Range80, units: UnitChoice) -> Interval:
    return Interval(*(from_si(value, units.distance) for value in (carry.low80, carry.median, carry.high80)))
