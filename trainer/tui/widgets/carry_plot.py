"""A carry that moves: the hill of now, its range and those before, the session's balls as ticks, the axis."""

from __future__ import annotations

from trainer.application.views.look import Bar
from trainer.application.views.session_pictures import CarryPicture
from trainer.tui.widgets.axis_line import axis_line, column
from trainer.tui.widgets.humps import hump_lines

BALL, NEWEST, MISHIT = "╵", "┃", "x"
TARGET = "▽"
_BEFORE_BALL, _BEFORE_FIRST = "╌", "┈"
_BALLS = "balls today (thick: the last)"
"""Without the marks themselves: those stand for balls."""

_MOST_HILL = 6
_WITH_BALL, _WITH_FIRST = 4, 7
"""Rows of a hill at the most, and from how many rows on the range before the ball, and the first, have room."""


def carry_lines(picture: CarryPicture, columns: int, rows: int) -> list[str]:
    """In at most `rows`, three at the least: the oldest range goes first, then the hill, then the other range."""
    lines = [_now_line(picture, columns)]
    if picture.before_ball is not None and rows >= _WITH_BALL:
        lines.append(_bar(picture.before_ball, columns, _BEFORE_BALL, "before the ball"))
    if rows >= _WITH_FIRST:
        lines.append(_bar(picture.before_first, columns, _BEFORE_FIRST, "before the first ball"))
    lines += [_ball_line(picture, columns), axis_line(picture.ticks, columns)]
    hill = min(rows - len(lines), _MOST_HILL)
    return [*(hump_lines(picture.now.heights, columns, hill) if hill > 0 else []), *lines]


def _now_line(picture: CarryPicture, columns: int) -> str:
    bar = picture.now.bar
    drawn = list(_bar(bar, columns, "═", ""))
    drawn += " " * (columns - len(drawn))
    drawn[column(bar.low, columns)], drawn[column(bar.high, columns)] = "╞", "╡"
    drawn[column(bar.middle, columns)] = "●"
    if picture.target is not None and column(picture.target, columns) != column(bar.middle, columns):
        drawn[column(picture.target, columns)] = TARGET
    return _with_words("".join(drawn).rstrip(), f"{picture.now.name} {bar.words}", columns)


def _bar(bar: Bar, columns: int, line: str, name: str) -> str:
    low, high = column(bar.low, columns), column(bar.high, columns)
    drawn = " " * low + line * (high - low + 1)
    return _with_words(drawn, name, columns) if name else drawn


def _with_words(line: str, words: str, columns: int) -> str:
    """The words behind the line, or before it, where one of them has the room."""
    if len(line) + 2 + len(words) <= columns:
        return f"{line}  {words}"
    free = len(line) - len(line.lstrip())
    return f"{words:<{free}}{line.lstrip()}" if len(words) + 2 <= free else line


def _ball_line(picture: CarryPicture, columns: int) -> str:
    drawn = [" "] * columns
    for ball in picture.balls:
        drawn[column(ball.at, columns)] = MISHIT if ball.mishit else NEWEST if ball.newest else BALL
    line = "".join(drawn).rstrip()
    if not line:
        return "no ball of this shot yet today"
    return _with_words(line, _BALLS, columns)
