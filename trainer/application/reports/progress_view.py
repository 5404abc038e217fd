"""Progress as a screen draws it: each kind of balls a bar of its own on one axis of per cent."""

from __future__ import annotations

from trainer.application.reports.progress import Kind, KindProgress, Progress
from trainer.application.reports.progress_words import progress_text
from trainer.application.views.axis import Axis
from trainer.application.views.look import Bar, HeldView, KindView, ProgressView
from trainer.application.views.practice import harmless
from trainer.core.decide.change import Level
from trainer.core.units import UnitChoice, counted

NAMES = {
    Kind.RETENTION: "stayed: first balls, a day or more later",
    Kind.TRANSFER: "carries over: mixed targets, no feedback",
    Kind.PRACTICE: "practice",
}


def progress_view(progress: Progress, units: UnitChoice) -> ProgressView:
    """The kinds apart, how often called ranges held, and everything in words."""
    levels = [level for each in progress.kinds for level in (each.raw, each.wind_adjusted) if level is not None]
    ends = [end for level in levels for end in (level.low95, level.high95)]
    axis = Axis(0.0, max([*ends, 1.0]) * 1.05)
    calls = progress.calls
    held = (("the half", calls.held_50, 0.5), ("the 8-in-10", calls.held_80, 0.8))
    return ProgressView(
        kinds=tuple(_kind(each, axis) for each in progress.kinds),
        ticks=axis.ticks(unit="%"),
        calls=tuple(_held(name, count, calls.balls, share) for name, count, share in held) if calls.balls else (),
        calls_words=f"{counted(calls.balls, 'ball')} called before being hit"
        if calls.balls
        else "no ball was called yet",
        text=harmless(progress_text(progress, units), keep_lines=True),
    )


def _held(name: str, count: int, balls: int, expected: float) -> HeldView:
    words = f"held {count} of {balls}, │ {expected * balls:.0f} expected"
    return HeldView(name, count / balls, expected, words)


def _kind(each: KindProgress, axis: Axis) -> KindView:
    days = counted(each.days, "day")
    count = f"{counted(each.balls, 'ball')} on {days}; {each.verdict}" if each.balls else "no ball yet"
    return KindView(NAMES[each.kind], _bar(each.raw, axis), _bar(each.wind_adjusted, axis), count)


def _bar(level: Level | None, axis: Axis) -> Bar | None:
    if level is None:
        return None
    words = f"{level.mean:.1f} % ({max(level.low95, 0.0):.1f}–{level.high95:.1f})"
    return Bar(axis.share(level.low95), axis.share(level.mean), axis.share(level.high95), words)
