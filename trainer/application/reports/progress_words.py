"""Progress as text for a person and as data for a program."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from trainer.application.choosing.course import course_data, course_sentences
from trainer.application.estimates.call_scores import scores_data, scores_sentence
from trainer.application.estimates.own_calls import own_calls_data, own_calls_sentences
from trainer.application.reports.progress import Kind, KindProgress, Miss, Progress, TagEffect
from trainer.application.views.folding import wrapped
from trainer.core.decide.change import Change, Level
from trainer.core.units import UnitChoice, change_from_si, counted

MISSES_SHOWN = 5
KIND_WORDS = {
    Kind.RETENTION: "retention (first balls, a day or more later)",
    Kind.TRANSFER: "transfer (mixed targets, no feedback)",
    Kind.PRACTICE: "practice",
}


def progress_data(progress: Progress) -> dict[str, Any]:
    """Errors in per cent of the target, misses in m."""
    return {
        "as_of": progress.as_of.isoformat(),
        **{str(each.kind): _kind_data(each) for each in progress.kinds},
        "called_ranges": {
            "balls": progress.calls.balls,
            "held_50": progress.calls.held_50,
            "held_80": progress.calls.held_80,
            "crps": scores_data(progress.scores),
        },
        "own_calls": own_calls_data(progress.own_calls),
        "course": course_data(progress.course),
        "misses": [
            {
                "time": miss.at.isoformat(),
                "kind": str(miss.kind),
                "target_m": miss.target_m,
                "miss_m": miss.miss_m,
                "wind_m": miss.wind_m,
                "club_m": miss.club_m,
                "scatter_m": miss.scatter_m,
            }
            for miss in progress.misses
        ],
        "tags": [{"tag": each.tag, **_change_data(each.change)} for each in progress.tags],
        "load": {
            "sessions": progress.load.sessions,
            "balls": progress.load.balls,
            "balls_last_7_days": progress.load.balls_last_week,
        },
    }


def _kind_data(each: KindProgress) -> dict[str, Any]:
    return {
        "balls": each.balls,
        "days": each.days,
        "error_percent": None if each.raw is None else _level_data(each.raw),
        "wind_adjusted_error_percent": None if each.wind_adjusted is None else _level_data(each.wind_adjusted),
        "change_percent": None if each.change is None else _change_data(each.change),
        "verdict": each.verdict,
    }


def _level_data(level: Level) -> dict[str, float]:
    return {
        "mean": level.mean,
        "low95": level.low95,
        "high95": level.high95,
        "measurement_error": level.measurement_error,
        "smallest_real_change": level.smallest_change,
    }


def _change_data(change: Change) -> dict[str, float | bool]:
    return {"difference": change.difference, "plus_minus95": change.plus_minus95, "clear": change.clear}


def progress_text(progress: Progress, units: UnitChoice) -> str:
    """Each kind of balls by itself, then called ranges, tags, the last misses and the load."""
    lines = [f"Progress up to {progress.as_of:%d %b %Y}; errors in per cent of the target", ""]
    for each in progress.kinds:
        lines += wrapped([f"{KIND_WORDS[each.kind]}: {_kind_sentence(each)}"])
    said = [
        _calls(progress),
        scores_sentence(progress.scores, units),
        *own_calls_sentences(progress.own_calls, units),
        *_course(progress, units),
        *(_tag_sentence(each) for each in progress.tags),
        _load(progress),
    ]
    lines += ["", *wrapped([sentence for sentence in said if sentence])]
    if progress.misses:
        lines += ["", f"The last misses, {units.distance}, by what made them:"]
        lines += _miss_lines(progress.misses[-MISSES_SHOWN:], units)
    return "\n".join(lines)


def _kind_sentence(each: KindProgress) -> str:
    if each.balls == 0:
        return "no ball yet."
    head = f"{counted(each.balls, 'ball')} on {counted(each.days, 'day')}"
    if each.raw is None or each.wind_adjusted is None:
        return f"{head}; {each.verdict}."
    level = (
        f"{head}, off by {each.raw.mean:.1f} % ({max(each.raw.low95, 0.0):.1f}–{each.raw.high95:.1f}), "
        f"{each.wind_adjusted.mean:.1f} % about what was to be expected in the wind"
    )
    needed = f"a change under {each.raw.smallest_change:.1f} % is within chance"
    if each.change is None:
        return f"{level}; {needed}."
    return f"{level}. {each.verdict.capitalize()}: {_signed(each.change)} from the earlier days; {needed}."


def _signed(change: Change) -> str:
    way = "lower" if change.difference < 0 else "higher"
    return f"{way} by {abs(change.difference):.1f} ± {change.plus_minus95:.1f} %"


def _calls(progress: Progress) -> str:
    calls = progress.calls
    if calls.balls == 0:
        return "No called range could be held against a ball yet."
    return (
        f"Called ranges over {counted(calls.balls, 'ball')}: the half held {counted(calls.held_50, 'time')} (to be "
        f"expected {calls.balls / 2:.0f}), the 8-in-10 {counted(calls.held_80, 'time')} (to be expected "
        f"{0.8 * calls.balls:.0f})."
    )


def _course(progress: Progress, units: UnitChoice) -> list[str]:
    return [] if progress.course is None else course_sentences(progress.course, units)


def _tag_sentence(each: TagEffect) -> str:
    shown = "" if each.change.clear else ", not shown yet"
    return f"#{each.tag}: {_signed(each.change)} ({each.change.balls_after} balls){shown}."


def _load(progress: Progress) -> str:
    load = progress.load
    hit = f"{counted(load.balls, 'ball')} in {counted(load.sessions, 'session')}"
    return f"Load: {hit}, {load.balls_last_week} in the last seven days."


def _miss_lines(misses: Sequence[Miss], units: UnitChoice) -> list[str]:
    def said(metres: float) -> str:
        return f"{round(change_from_si(metres, units.distance)):+d}".replace("-", "−").replace("+0", "0")

    lines = []
    for miss in misses:
        size = abs(round(change_from_si(miss.miss_m, units.distance)))
        way = "short" if miss.miss_m < 0 else "long"
        lines.append(
            f"  {miss.at:%d %b}  {size:>3} {way:5}  wind {said(miss.wind_m):>4}, club {said(miss.club_m):>4}, "
            f"scatter {said(miss.scatter_m):>4}"
        )
    return lines
