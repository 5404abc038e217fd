"""Shot tables as they come, with the truth beside them: every style that a person or a device might write."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from hypothesis import strategies as st

from trainer.core.bag import Bag, Club
from trainer.core.units import from_si, to_si
from trainer.exchange.table_times import DayOrder
from trainer.exchange.table_words import Field, SideSign

BAG = Bag(
    (
        Club("driver", to_si(10.5, "deg"), 1.15, 210.0),
        Club("3 wood", to_si(15, "deg"), 1.09, 190.0),
        Club("4 hybrid", to_si(22, "deg"), 1.0, 170.0),
        Club("7 iron", to_si(33, "deg"), 0.94, 137.0),
        Club("pitching wedge", to_si(46, "deg"), 0.9, 105.0),
        Club("gap wedge", to_si(50, "deg"), 0.9, 95.0),
        Club("old faithful", to_si(60, "deg"), 0.88, 62.0),
    )
)
SPELLINGS = {
    "driver": ("Driver", "DR", "1W", "driver", "D"),
    "3 wood": ("3 Wood", "3w", "W3", "Wood 3", "3-wood", "3 FW"),
    "4 hybrid": ("4h", "H4", "Hybrid 4", "4 Hybrid", "4-hyb", "Rescue 4"),
    "7 iron": ("7i", "Iron 7", "7-Iron", "i7", "7 iron", "7I", "#7 Iron"),
    "pitching wedge": ("PW", "P", "Pitching Wedge", "pw", "46°"),
    "gap wedge": ("GW", "AW", "A", "Gap wedge", "50°", "50 deg", "wedge 50"),
    "old faithful": ("old faithful", "Old Faithful", "60°"),
}
HEADERS = {
    Field.CLUB: ("Club", "club name", "CLUB"),
    Field.CARRY: ("Carry", "Carry Distance", "carry dist."),
    Field.TOTAL: ("Total", "Total distance"),
    Field.SIDE: ("Side", "Offline", "Lateral", "Carry side"),
    Field.APEX: ("Peak height", "Apex", "Max height"),
    Field.BALL_SPEED: ("Ball speed", "Ball Speed"),
    Field.LAUNCH: ("Launch angle", "Launch"),
    Field.SPIN: ("Spin rate", "Spin", "Backspin"),
}
UNITS = {
    Field.CARRY: ("yd", "m", "ft"),
    Field.TOTAL: ("yd", "m", "ft"),
    Field.SIDE: ("yd", "m", "ft"),
    Field.APEX: ("ft", "m", "yd"),
    Field.BALL_SPEED: ("mph", "m/s", "km/h"),
    Field.LAUNCH: ("deg",),
    Field.SPIN: ("rpm",),
}
RANGES = {
    Field.CARRY: (20.0, 300.0),
    Field.TOTAL: (20.0, 300.0),
    Field.SIDE: (-60.0, 60.0),
    Field.APEX: (2.0, 60.0),
    Field.BALL_SPEED: (15.0, 85.0),
    Field.LAUNCH: (0.05, 0.9),
    Field.SPIN: (50.0, 1200.0),
}
NAMES = {
    Field.CARRY: "carry_m", Field.TOTAL: "total_m", Field.SIDE: "side_m", Field.APEX: "apex_m",
    Field.BALL_SPEED: "ball_speed_mps", Field.LAUNCH: "launch_rad", Field.SPIN: "spin_rad_s",
}  # fmt: skip
JUNK = ("Club speed (mph)", "Spin axis (deg)", "Face", "Smash")
BLANKS = ("", "-", "n/a", "--")
PREAMBLE = ("Range evening", "Bay 7; west end", "Exported 2026-05-14 20:01", "Notes, and more of them")
SPOILT = ("abc", "1.2.3,4", "12,34,5", "9" * 12, "14 2 1", "1e2x", "?", "12..5")
MEANS = ("Average", "Mean", "Std. Dev.", "AVG", "7 iron average", "s.d.", "Median", "Max")


@dataclass(frozen=True)
class Truth:
    """What one row is: its measures in SI by field, None where the cell says nothing."""

    club: str
    at: datetime | None
    player: str | None
    measures: dict[Field, float | None]


@dataclass
class Messy:
    """A table's bytes, the truth by line number, the lines that must be refused, and the answers to its questions.

    `doubtful` lines have a number that the file need not tell how to read: they may be refused too.
    """

    data: bytes
    shots: dict[int, Truth] = field(default_factory=dict)
    spoilt: set[int] = field(default_factory=set)
    doubtful: set[int] = field(default_factory=set)
    units: dict[Field, str] = field(default_factory=dict)
    side_positive: SideSign | None = None
    day_order: DayOrder | None = None
    day: date = date(2026, 5, 3)


@dataclass(frozen=True)
class _Style:
    delimiter: str
    comma: bool
    encoding: str
    line_end: str
    fields: tuple[Field, ...]
    headers: dict[Field, str]
    units: dict[Field, str]
    unit_where: str
    decimals: int
    side: str
    time: str
    order: DayOrder
    players: bool
    numbered: bool
    flagged: str
    grouped: bool
    junk: tuple[str, ...]
    column_order: tuple[int, ...]


@st.composite
def _styles(draw: st.DrawFn) -> _Style:
    delimiter = draw(st.sampled_from((",", ";", "\t")))
    optional = [Field.TOTAL, Field.SIDE, Field.APEX, Field.BALL_SPEED, Field.LAUNCH, Field.SPIN]
    fields = (Field.CLUB, Field.CARRY, *(each for each in optional if draw(st.booleans())))
    return _Style(
        delimiter=delimiter,
        comma=delimiter != "," and draw(st.booleans()),
        encoding=draw(st.sampled_from(("utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-16-be"))),
        line_end=draw(st.sampled_from(("\n", "\r\n", "\r"))),
        fields=fields,
        headers={each: draw(st.sampled_from(HEADERS[each])) for each in fields},
        units={each: draw(st.sampled_from(UNITS[each])) for each in fields if each in UNITS},
        unit_where=draw(st.sampled_from(("round", "square", "suffix", "row", "cell", "nowhere"))),
        decimals=draw(st.sampled_from((0, 1, 2))),
        side=draw(st.sampled_from(("after", "before", "joined", "word", "right", "left"))),
        time=draw(st.sampled_from(("none", "iso", "seconds", "local", "split", "twelve", "named", "clock"))),
        order=draw(st.sampled_from((DayOrder.DAY_FIRST, DayOrder.MONTH_FIRST))),
        players=draw(st.booleans()),
        numbered=draw(st.booleans()),
        flagged=draw(st.sampled_from(("", "Deleted", "Valid"))),
        grouped=draw(st.booleans()),
        junk=tuple(draw(st.lists(st.sampled_from(JUNK), max_size=2, unique=True))),
        column_order=tuple(draw(st.permutations(range(18)))),
    )


def _number(value: float, style: _Style) -> str:
    text = f"{value:.{style.decimals}f}"
    return text.replace(".", ",") if style.comma else text


def _measured(draw: st.DrawFn, which: Field, style: _Style) -> tuple[str, float | None]:
    """A cell and the SI value that it writes."""
    if which is not Field.CARRY and draw(st.integers(0, 9)) == 0:
        return draw(st.sampled_from(BLANKS)), None
    unit = draw(st.sampled_from(UNITS[which])) if style.unit_where == "cell" else style.units[which]
    low, high = RANGES[which]
    shown = draw(st.integers(int(from_si(low, unit) * 100), int(from_si(high, unit) * 100))) / 100
    written = _number(shown, style)
    value = float(written.replace(",", "."))
    suffix = f" {unit}" if style.unit_where == "cell" else ""
    if which is Field.SPIN and style.grouped and not style.decimals and value >= 1000:
        mark = "." if style.comma else ","
        return f"{int(value) // 1000}{mark}{int(value) % 1000:03d}{suffix}", to_si(value, unit)
    if which is not Field.SIDE:
        return f"{written}{suffix}", to_si(value, unit)
    return _side(written, value, suffix, style), to_si(value, unit) + 0.0


def _side(written: str, value: float, suffix: str, style: _Style) -> str:
    if style.side in ("right", "left"):
        turned = written if style.side == "right" else written.removeprefix("-") if value < 0 else f"-{written}"
        return f"{turned}{suffix}" if value else f"{written.removeprefix('-')}{suffix}"
    bare, letter = written.removeprefix("-"), "L" if value < 0 else "R"
    word = "left" if value < 0 else "right"
    forms = {
        "after": f"{bare}{suffix} {letter}",
        "before": f"{letter} {bare}{suffix}",
        "joined": f"{bare}{letter}" if not suffix else f"{bare}{suffix} {letter}",
        "word": f"{bare}{suffix} {word}",
    }
    return forms[style.side]


def _times(at: datetime, style: _Style) -> dict[str, str]:
    """The time columns of a row, by header."""
    day, month = (at.day, at.month) if style.order is DayOrder.DAY_FIRST else (at.month, at.day)
    clock12 = f"{at.hour % 12 or 12}:{at:%M:%S} {'PM' if at.hour >= 12 else 'AM'}"
    forms = {
        "none": {},
        "iso": {"Date time": at.isoformat()},
        "seconds": {"Time": at.isoformat(" ")},
        "local": {"Timestamp": f"{day:02d}/{month:02d}/{at.year} {at:%H:%M:%S}"},
        "split": {"Date": f"{day}.{month}.{at.year}", "Time": f"{at:%H:%M:%S}"},
        "twelve": {"Date": f"{day}/{month}/{at.year}", "Time": clock12},
        "named": {"Recorded at": f"{at.day} {at:%b} {at.year} {at:%H:%M:%S}"},
        "clock": {"Time": f"{at:%H:%M:%S}"},
    }
    return forms[style.time]


def _header(style: _Style) -> list[str]:
    named = []
    for which in style.fields:
        unit, text = style.units.get(which), style.headers[which]
        forms = {"round": f"{text} ({unit})", "square": f"{text} [{unit}]", "suffix": f"{text}, {unit}"}
        named.append(forms.get(style.unit_where, text) if unit else text)
    more = [*_times(datetime(2026, 5, 3), style)]
    more += ["Player"] if style.players else []
    more += ["Shot"] if style.numbered else []
    more += [style.flagged] if style.flagged else []
    return [*named, *more, *style.junk]


@st.composite
def messy_tables(draw: st.DrawFn) -> Messy:
    """A table of some shots among rows that are none."""
    style = draw(_styles())
    header = _header(style)
    order = [place for place in style.column_order if place < len(header)]
    found = Messy(b"", units=dict(style.units))
    found.side_positive = {"right": SideSign.RIGHT, "left": SideSign.LEFT}.get(style.side)
    found.day_order = style.order
    lines: list[str] = draw(st.lists(st.sampled_from(PREAMBLE), max_size=2))
    whole = header[:]

    def put(cells: list[str]) -> int:
        lines.append(style.delimiter.join(_quoted(cells[place], style.delimiter) for place in order))
        return len(lines)

    put(whole)
    if style.unit_where == "row":
        units = [f"[{style.units[each]}]" if each in style.units else "" for each in style.fields]
        put([*units, *[""] * (len(header) - len(units))])
    at = datetime(2026, 5, 3, draw(st.integers(0, 22)), 10, 0) + timedelta(days=draw(st.integers(0, 12)))
    for number in range(draw(st.integers(1, 12))):
        at += timedelta(seconds=draw(st.integers(1, 90)))
        if draw(st.integers(0, 6)) == 0:
            _put_no_shot(draw, style, whole, put, found, lines)
        _put_shot(draw, style, at, number, put, found)
    text = style.line_end.join([*lines, ""])
    found.data = text.encode(style.encoding)
    return found


def _quoted(cell: str, delimiter: str) -> str:
    return f'"{cell}"' if delimiter in cell else cell


def _put_no_shot(draw: st.DrawFn, style: _Style, header: list[str], put, found: Messy, lines: list[str]) -> None:  # type: ignore[no-untyped-def]  # a closure of the strategy
    kind = draw(st.sampled_from(("blank", "header", "mean", "mean by club")))
    if kind == "blank":
        lines.append("")
        return
    if kind == "header":
        found.spoilt.add(put(header))
        return
    cells = [""] * len(header)
    for place, which in enumerate(style.fields):
        cells[place] = _measured(draw, which, style)[0] if which in UNITS else ""
    word = draw(st.sampled_from(MEANS))
    if kind == "mean":
        cells[0] = word
    elif style.numbered:
        cells[0] = draw(st.sampled_from(SPELLINGS["7 iron"]))
        cells[header.index("Shot")] = word
    else:
        return
    found.spoilt.add(put(cells))


def _put_shot(draw: st.DrawFn, style: _Style, at: datetime, number: int, put, found: Messy) -> None:  # type: ignore[no-untyped-def]  # a closure of the strategy
    club = draw(st.sampled_from(list(SPELLINGS)))
    cells: list[str] = []
    measures: dict[Field, float | None] = {}
    for which in style.fields:
        if which is Field.CLUB:
            cells.append(draw(st.sampled_from(SPELLINGS[club])))
        else:
            cell, value = _measured(draw, which, style)
            cells.append(cell)
            measures[which] = value
    carry, total = measures[Field.CARRY], measures.get(Field.TOTAL)
    if carry is not None and total is not None and total < carry:  # far short of it is refused by the limits
        cells[style.fields.index(Field.TOTAL)], measures[Field.TOTAL] = "", None
    cells += _times(at, style).values()
    player = draw(st.sampled_from(("Kim", "Max"))) if style.players else None
    cells += [player] if player else []
    cells += [str(number + 1)] if style.numbered else []
    deleted = bool(style.flagged) and draw(st.integers(0, 4)) == 0
    if style.flagged:
        cells.append({"Deleted": "yes" if deleted else "no", "Valid": "0" if deleted else "1"}[style.flagged])
    spoil = draw(st.integers(0, 9)) == 0
    if spoil:
        place = draw(st.integers(1, len(style.fields) - 1))
        cells[place] = draw(st.sampled_from(SPOILT))
    cells += ["1.5"] * len(style.junk)
    line = put(cells)
    if deleted or spoil:
        found.spoilt.add(line)
    else:
        told = {"none": None, "clock": datetime.combine(found.day, at.time())}.get(style.time, at)
        found.shots[line] = Truth(club, told, player, measures)
        if style.grouped and Field.SPIN in style.fields:
            found.doubtful.add(line)
