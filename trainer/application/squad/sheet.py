"""A coach's sheet of many players: each beside his own past only, by alias, never in an order of merit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.gapping import cell_words
from trainer.application.estimates.trust import Trust
from trainer.application.evidence.history import local
from trainer.application.reports.player_report import PlayerReport, make_report
from trainer.application.reports.progress import Kind, KindProgress
from trainer.application.views.folding import wrapped
from trainer.application.views.practice import harmless
from trainer.core.errors import InputError
from trainer.core.units import UnitChoice, change_from_si
from trainer.exchange.page_svg import HEIGHT_MM, INNER_MM, MARGIN_MM, WIDTH_MM, fitted, html, page, rule, words
from trainer.store.store import Store

MOST_PLAYERS = 40
"""As many as a page has lines for."""

TITLE_MM, WORDS_MM, ROW_MM, TOP_MM = 5.5, 2.6, 5.4, 44.0
WIDTHS_MM = (34.0, 13.0, 13.0, 17.0, 30.0, 26.0, 57.0)
HEADS = ("player", "balls", "7 days", "last hit", "shots known", "what stayed", "least known")
COLUMNS = (12, 5, 6, 8, 11, 13, 19)
HOW = "By alias, no ranking: each player is held against his own past only."
KNOWN = (
    "Shots known: settled/working/guess/stale. What stayed: first balls, a day or more later.",
    "Least known: the shot hit whose still-air carry is widest, ± what holds 8 in 10, in the player's unit.",
)


@dataclass(frozen=True, slots=True)
class SquadRow:
    """One player. `known` counts the shots he hit by how far they may be trusted; `widest` is the least known."""

    alias: str
    sessions: int
    balls: int
    balls_last_week: int
    last_hit: datetime | None
    known: tuple[tuple[Trust, int], ...]
    stayed: str
    carries_over: str
    widest: str
    widest_m: float | None


@dataclass(frozen=True, slots=True)
class SquadSheet:
    """The players by alias, as of a moment."""

    as_of: datetime
    rows: tuple[SquadRow, ...]


def make_squad_sheet(store: Store, aliases: Sequence[str], asked: datetime | None, now: datetime) -> SquadSheet:
    """The sheet of `aliases`, or of everybody. Raises InputError for an unknown one and for too many for a page."""
    named = aliases or [player.profile.alias for player in store.players()]
    if not named:
        raise InputError("the store holds no player yet", "--squad", "run `trainer setup` first")
    if len(named) > MOST_PLAYERS:
        raise InputError(f"{len(named)} players do not fit a page", "--squad", f"name {MOST_PLAYERS} at most")
    rows = []
    for alias in dict.fromkeys(named):
        report = make_report(store, alias, StatedConditions(), asked, now)
        player = store.player(alias)
        hit = [
            local(shot.at) for shot in store.shots(player_id=player.id) if local(shot.at) <= (asked or datetime.max)
        ]
        rows.append(_row(report, max(hit, default=None)))
    return SquadSheet(asked or now, tuple(sorted(rows, key=lambda row: row.alias.lower())))


def _row(report: PlayerReport, last_hit: datetime | None) -> SquadRow:
    hit = report.table.hit
    counts = Counter(figures.trust for figures in hit)
    verdicts = {each.kind: _verdict(each) for each in report.progress.kinds}
    widest = max(hit, key=lambda figures: figures.still_air_carry_m.half_width_m, default=None)
    load = report.progress.load
    return SquadRow(
        alias=report.profile.alias,
        sessions=report.sessions,
        balls=load.balls,
        balls_last_week=load.balls_last_week,
        last_hit=last_hit,
        known=tuple((trust, counts[trust]) for trust in (Trust.SETTLED, Trust.WORKING, Trust.GUESS, Trust.STALE)),
        stayed=verdicts[Kind.RETENTION],
        carries_over=verdicts[Kind.TRANSFER],
        widest="" if widest is None else _widest_words(report, report.profile.units),
        widest_m=None if widest is None else widest.still_air_carry_m.half_width_m,
    )


def _verdict(each: KindProgress) -> str:
    if each.balls == 0:
        return "no ball yet"
    return "too few balls" if each.change is None else each.verdict


def _widest_words(report: PlayerReport, units: UnitChoice) -> str:
    widest = max(report.table.hit, key=lambda figures: figures.still_air_carry_m.half_width_m)
    half = change_from_si(widest.still_air_carry_m.half_width_m, units.distance)
    shot = cell_words(widest.cell, units).replace("three-quarter", "3/4").replace(" down", "")
    return f"±{half:.0f} {shot}"


def squad_data(sheet: SquadSheet) -> dict[str, Any]:
    """The sheet in SI."""
    return {
        "as_of": sheet.as_of.isoformat(),
        "players": [
            {
                "player": row.alias,
                "sessions": row.sessions,
                "balls": row.balls,
                "balls_last_7_days": row.balls_last_week,
                "last_hit": None if row.last_hit is None else row.last_hit.isoformat(),
                "shots_known": {str(trust): count for trust, count in row.known},
                "retention": row.stayed,
                "transfer": row.carries_over,
                "least_known_half_width_m": row.widest_m,
            }
            for row in sheet.rows
        ],
    }


def _cells(row: SquadRow) -> tuple[str, ...]:
    return (
        harmless(row.alias),
        str(row.balls),
        str(row.balls_last_week),
        "never" if row.last_hit is None else f"{row.last_hit:%d %b}",
        "/".join(str(count) for _, count in row.known),
        row.stayed,
        harmless(row.widest),
    )


def squad_text(sheet: SquadSheet) -> str:
    """A line a player, 80 columns."""
    lines = [f"Squad sheet, {sheet.as_of:%d %b %Y}", HOW, *wrapped(KNOWN), "", _text_row(HEADS)]
    lines += [_text_row(_cells(row)) for row in sheet.rows]
    return "\n".join(line.rstrip() for line in lines)


def _text_row(cells: Sequence[str]) -> str:
    return " ".join(f"{cell[:width]:{width}}" for cell, width in zip(cells, COLUMNS, strict=True))


def squad_html(sheet: SquadSheet) -> str:
    """One HTML file that prints on one page, A4 or Letter."""
    title = f"Squad sheet, {sheet.as_of:%d %b %Y}"
    drawn = [
        words(MARGIN_MM, MARGIN_MM + 6, title, TITLE_MM, weight="bold"),
        words(MARGIN_MM, MARGIN_MM + 13, HOW, WORDS_MM + 0.2),
        *(words(MARGIN_MM, MARGIN_MM + 17 + 4 * n, line, WORDS_MM + 0.2) for n, line in enumerate(KNOWN)),
        *_line(HEADS, TOP_MM - ROW_MM, weight="bold"),
        rule(MARGIN_MM, TOP_MM, WIDTH_MM - MARGIN_MM, TOP_MM, width=0.3),
    ]
    for number, row in enumerate(sheet.rows):
        drawn += _line(_cells(row), TOP_MM + number * ROW_MM)
        y = TOP_MM + (number + 1) * ROW_MM
        drawn.append(rule(MARGIN_MM, y, MARGIN_MM + INNER_MM, y, width=0.1))
    foot = "A change is said only where it is more than chance; few balls mean: not enough to tell."
    drawn.append(words(MARGIN_MM, HEIGHT_MM - MARGIN_MM + 2, foot, WORDS_MM))
    return html(title, [page(title, drawn)])


def _line(cells: Sequence[str], top: float, weight: str = "normal") -> list[str]:
    drawn, x = [], MARGIN_MM
    for cell, width in zip(cells, WIDTHS_MM, strict=True):
        drawn.append(
            words(
                x,
                top + ROW_MM - 1.7,
                fitted(cell, WORDS_MM, width - 1, bold=weight == "bold"),
                WORDS_MM,
                weight=weight,
            )
        )
        x += width
    return drawn
