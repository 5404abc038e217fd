"""A carry on a line of yards: what it is now, what it was before, and the target."""

from __future__ import annotations

from trainer.application.views.practice import StripView

_MARGIN = 0.18


def strip_lines(strip: StripView, columns: int) -> list[str]:
    """Two lines: the interval now (`╞══●══╡`, over `┈` before, `▽` the target) and the numbers under it."""
    marks = [strip.low, strip.high, strip.before_low, strip.before_high]
    if strip.target is not None:
        marks.append(strip.target)
    least, most = min(marks), max(marks)
    room = max((most - least) * _MARGIN, 3.0)
    least, most = least - room, most + room
    width = max(columns, 10)

    def at(value: float) -> int:
        return min(max(round((value - least) / (most - least) * (width - 1)), 0), width - 1)

    line = [" "] * width
    for column in range(at(strip.before_low), at(strip.before_high) + 1):
        line[column] = "┈"
    for column in range(at(strip.low), at(strip.high) + 1):
        line[column] = "═"
    line[at(strip.low)], line[at(strip.high)] = "╞", "╡"
    line[at(strip.median)] = "●"
    if strip.target is not None and at(strip.target) != at(strip.median):
        line[at(strip.target)] = "▽"
    return ["".join(line), _numbers(strip, width, at(strip.low), at(strip.median), at(strip.high))]


def _numbers(strip: StripView, width: int, low: int, median: int, high: int) -> str:
    """The three numbers under their marks, the outer two only where they do not touch the middle one."""
    text = [" "] * (width + 4)
    taken: list[tuple[int, int]] = []
    for value, column in ((strip.median, median), (strip.low, low), (strip.high, high)):
        word = f"{value:.0f}"
        start = min(max(column - len(word) // 2, 0), width - len(word))
        if any(start < end + 1 and start + len(word) > begin - 1 for begin, end in taken):
            continue
        text[start : start + len(word)] = word
        taken.append((start, start + len(word)))
    return "".join(text).rstrip()
