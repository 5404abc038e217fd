"""What is typed, looked at while it is typed: the repeat-back, or the question. Nothing heavy is loaded here."""

from __future__ import annotations

from trainer.application.evidence.known_tags import tag_questions
from trainer.application.views.practice import Check, WindView
from trainer.application.views.wind import named_wind, view_wind, wind_line
from trainer.core.conditions import AIR_TEMPERATURE_K, Wind
from trainer.core.errors import InputError
from trainer.core.profile import Profile
from trainer.core.shot import Depth, ShotEntry, Width
from trainer.core.units import UnitChoice, change_from_si, from_si, parse_quantity, require_range
from trainer.exchange.cell_text import parse_cell, print_cell
from trainer.exchange.typed_line import (
    FlagLine,
    GuessLine,
    InsteadLine,
    Line,
    SayLine,
    ShotLine,
    SkipLine,
    ThunderLine,
    WindLine,
    parse_line,
)
from trainer.exchange.wind_text import parse_wind


def _amount(metres: float, unit: str) -> str:
    return f"{round(change_from_si(metres, unit), 1):g} {unit}"


def entry_words(entry: ShotEntry, units: UnitChoice) -> str:
    """A shot in words: `142 yd, 6 yd left`."""
    said = [*_place_words(entry, units), *_measure_words(entry, units)]
    if entry.mishit:
        said.append("mishit")
    if entry.unseen:
        said.append("hit, not seen")
    return ", ".join([*said, *(f"#{tag}" for tag in entry.tags)])


def _place_words(entry: ShotEntry, units: UnitChoice) -> list[str]:
    said = []
    if entry.flag is not None:
        offset_m = entry.flag_offset_m or 0.0
        side = "short of" if offset_m < 0 else "past"
        said.append(f"{_amount(abs(offset_m), units.distance)} {side} {entry.flag}")
    elif entry.carry_m is not None:
        said.append(f"carry {_amount(entry.carry_m, units.distance)}")
    if entry.total_m is not None and entry.flag is None:
        said.append(f"in all {_amount(entry.total_m, units.distance)}")
    if entry.side_m is not None:
        side = "left" if entry.side_m < 0 else "right"
        said.append("on the line" if entry.side_m == 0 else f"{_amount(abs(entry.side_m), units.distance)} {side}")
    if entry.depth is not None or entry.width is not None:
        said.append(zone_words(entry.depth, entry.width))
    return said


def _measure_words(entry: ShotEntry, units: UnitChoice) -> list[str]:
    said = []
    if entry.apex_m is not None:
        said.append(f"{_amount(entry.apex_m, units.height)} high")
    if entry.hang_s is not None:
        said.append(f"{entry.hang_s:.1f} s in the air")
    if entry.ball_speed_mps is not None:
        said.append(f"ball speed {_amount(entry.ball_speed_mps, units.speed)}")
    if entry.launch_rad is not None:
        said.append(f"launch {from_si(entry.launch_rad, 'deg'):.1f}°")
    if entry.spin_rad_s is not None:
        said.append(f"spin {from_si(entry.spin_rad_s, 'rpm'):.0f} rpm")
    return said


def zone_words(depth: Depth | None, width: Width | None) -> str:
    """`short left`, `pin-high straight`."""
    parts = []
    if depth is not None:
        parts.append("pin-high" if depth is Depth.PIN else depth.value)
    if width is not None:
        parts.append(width.value)
    return " ".join(parts)


def check_line(text: str, profile: Profile) -> Check:
    """What a typed line would record, or why it would be refused."""
    try:
        line = parse_line(text, profile.units, profile.sees)
        if not isinstance(line, ShotLine):
            return Check(True, _other_words(line, profile))
        if line.entry.flag is not None:
            profile.flag(line.entry.flag, line.entry.flag)
        words = f"{_cell_words(line, profile)}{entry_words(line.entry, profile.units)}"
        return Check(True, "; ".join(part for part in (words, tag_questions(line.entry.tags)) if part))
    except InputError as problem:
        return Check(False, str(problem))


def _other_words(line: Line, profile: Profile) -> str:
    """What a line that is no ball would record; raises InputError where it names a club that is not in the bag."""
    units = profile.units
    match line:
        case WindLine(wind):
            words = named_wind(view_wind(wind, units))
        case FlagLine(flag):
            words = f"flag {flag.name} at {units.shown_distance(flag.distance_m)}"
        case InsteadLine(cell_text, reason):
            words = f"the next ball: {print_cell(parse_cell(cell_text, profile.bag, units), units)}, for: {reason}"
        case SkipLine(reason):
            words = f"the next ball is left out: {reason}"
        case ThunderLine():
            words = "thunder was heard: half an hour's wait from now"
        case SayLine(carry_m):
            words = f"you say {units.shown_distance(carry_m)} for the next ball"
        case GuessLine(wind):
            words = f"you guess {wind_line(view_wind(wind, units))}"
        case _:
            words = ""
    return words


def _cell_words(line: ShotLine, profile: Profile) -> str:
    if line.cell_text is None:
        return ""
    return f"{print_cell(parse_cell(line.cell_text, profile.bag, profile.units), profile.units)}: "


def read_wind_field(text: str, units: UnitChoice) -> Wind | None:
    """The wind that a field holds, None where it holds nothing. Raises InputError as a question."""
    words = text.strip()
    if words.lower().startswith("wind "):
        words = words[5:]
    return parse_wind(words, units) if words else None


def check_wind(text: str, units: UnitChoice) -> tuple[Check, WindView | None]:
    """The wind field while it is typed, and the picture of it once it can be read."""
    try:
        wind = read_wind_field(text, units)
    except InputError as problem:
        return Check(False, str(problem)), None
    if wind is None:
        return Check(True, "12h is in the face, 3h right; or calm"), None
    view = view_wind(wind, units)
    return Check(True, wind_line(view)), view


def read_temperature(text: str, units: UnitChoice) -> float | None:
    """Kelvin from `12C` or a bare number in the player's unit, None for nothing. Raises InputError."""
    if not text.strip():
        return None
    temperature_k = parse_quantity(text, "temperature", units.temperature, "temperature")
    return require_range(temperature_k, *AIR_TEMPERATURE_K, units.temperature, "a temperature", "temperature")


def check_temperature(text: str, units: UnitChoice) -> Check:
    """The temperature field while it is typed."""
    try:
        temperature_k = read_temperature(text, units)
    except InputError as problem:
        return Check(False, str(problem))
    if temperature_k is None:
        return Check(True, "left out: 15 °C is taken")
    celsius, fahrenheit = round(from_si(temperature_k, "C")), round(from_si(temperature_k, "F"))
    cold = "; cold: warm up longer, hit fewer balls" if celsius < 8 else ""
    return Check(True, f"{celsius} °C, {fahrenheit} °F{cold}")
