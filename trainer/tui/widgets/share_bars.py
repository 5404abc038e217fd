"""Shares of a whole, ranges with a middle, and stretches of an axis: each a line of text."""

from __future__ import annotations

from trainer.application.views.look import Bar, ChoiceView, ProgressView, Stretch
from trainer.tui.widgets.axis_line import axis_line, column

_NAME = 19


def share_bar(share: float, columns: int, expected: float | None = None) -> str:
    """`▐██████░░░░▌`; what is to be expected is a `│` in it."""
    filled = round(share * columns)
    drawn = ["█"] * filled + ["░"] * (columns - filled)
    if expected is not None:
        drawn[column(expected, columns)] = "│"
    return f"▐{''.join(drawn)}▌"


def range_bar(bar: Bar, columns: int, mark: str) -> str:
    """`├──●──┤`, `columns` wide."""
    drawn = [" "] * columns
    low, middle, high = (column(place, columns) for place in (bar.low, bar.middle, bar.high))
    for place in range(low, high + 1):
        drawn[place] = "─"
    drawn[low], drawn[high], drawn[middle] = "├", "┤", mark
    return "".join(drawn).rstrip()


def stretch_lines(choice: ChoiceView, columns: int) -> list[str]:
    """Which shot is first by the strength of the wind: a line a shot, then the axis with `▲` where it blows now."""
    width = max(columns - _NAME - 1, 10)
    drawn = [f"{each.name:{_NAME}.{_NAME}} {_stretch(each, width)}" for each in choice.stretches]
    now = " " * column(choice.blows, width) + "▲ the wind asked for"
    return [*drawn, f"{'':{_NAME}} {now}"[:columns], f"{'':{_NAME}} {axis_line(choice.ticks, width)}"]


def _stretch(each: Stretch, columns: int) -> str:
    low, high = column(each.low, columns), column(each.high, columns)
    return " " * low + "├" + "─" * max(high - low - 1, 0) + "┤"


def progress_lines(progress: ProgressView, columns: int) -> list[str]:
    """The kinds of balls apart, errors on one axis, then how often called ranges held."""
    name = 14
    width = max(columns - name - 20, 10)
    lines: list[str] = []
    for kind in progress.kinds:
        lines.append(f"{kind.name}: {kind.verdict}")
        for word, bar, mark in (("as seen", kind.raw, "●"), ("wind out", kind.adjusted, "○")):
            if bar is not None:
                lines.append(f"  {word:{name - 2}}{range_bar(bar, width, mark):{width}} {bar.words}")
    lines += [f"{'':{name}}{axis_line(progress.ticks, width)}", "", f"Called ranges: {progress.calls_words}"]
    room = max((len(call.words) for call in progress.calls), default=0)
    for call in progress.calls:
        drawn = share_bar(call.held, max(columns - name - room - 3, 8), call.expected)
        lines.append(f"  {call.name:{name - 2}.{name - 2}}{drawn} {call.words}")
    return lines
