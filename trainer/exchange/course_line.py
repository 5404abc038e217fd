"""One line of a course log: an approach of a round, entered afterwards.

7 iron, three-quarter, to 150yd: flag-6 4L    six short of a flag at 150 yd, four left of the line to it
8 iron, to 140: 143 2R                        it came to rest 143 from you
wind 14mph 1h                                 the wind of the approaches that follow, to the line of the next
# the ninth, from the rough                   a remark
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from trainer.core.errors import InputError
from trainer.core.profile import Sees
from trainer.core.shot import ShotEntry
from trainer.core.units import UnitChoice
from trainer.exchange.plain_text import shown_text
from trainer.exchange.typed_line import BlankLine, ShotLine, WindLine, flag_distance, parse_line

_TO = re.compile(r"to\s+(.+)", re.IGNORECASE)
_EXAMPLE = "write such as 7 iron, to 150yd: flag-6 4L"


@dataclass(frozen=True, slots=True)
class ApproachLine:
    """An approach: its cell in words, how far the flag was, m, and where the ball came to rest."""

    cell_text: str
    flag_m: float
    entry: ShotEntry


def parse_course_line(text: str, units: UnitChoice) -> ApproachLine | WindLine | BlankLine:
    """What one line says, in SI. Raises InputError whose `where` is the part at fault.

    A bare distance is where the ball came to rest. An offset (`flag-6`, whatever the flag is called) is from the flag
    of the line.
    """
    line = parse_line(text, units, Sees.FINISH)
    if isinstance(line, WindLine | BlankLine):
        return line
    if not isinstance(line, ShotLine):
        raise InputError("such a line belongs to practice", shown_text(text.split(maxsplit=1)[0]), _EXAMPLE)
    if line.cell_text is None:
        raise InputError("which club, and how far was the flag?", shown_text(text.strip()), _EXAMPLE)
    parts = [part.strip() for part in line.cell_text.split(",")]
    distances = [match[1] for part in parts if (match := _TO.fullmatch(part))]
    if len(distances) != 1:
        what = "how far was the flag?" if not distances else "the distance to the flag is said twice"
        raise InputError(what, shown_text(line.cell_text), _EXAMPLE)
    flag_m = flag_distance(distances[0], units.distance, shown_text(distances[0]))
    cell_text = ", ".join(part for part in parts if not _TO.fullmatch(part))
    return ApproachLine(cell_text, flag_m, at_rest(line.entry, flag_m))


def at_rest(entry: ShotEntry, flag_m: float) -> ShotEntry:
    """`entry` with where it came to rest, where that was said as an offset from a flag at `flag_m`.

    Raises InputError for an offset that ends behind the player.
    """
    if entry.flag is None:
        return entry
    total_m = flag_m + (entry.flag_offset_m or 0.0)
    if total_m <= 0:
        raise InputError("that is behind the player", entry.flag, "check the offset from the flag")
    return replace(entry, total_m=total_m)
