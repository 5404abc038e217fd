"""`trainer course-log`: windy approaches of a round, entered afterwards; they test the card and teach no club."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from trainer.cli.conditions import add_conditions, read_conditions
from trainer.cli.context import Context, Output
from trainer.cli.lines import from_first_word, typed_lines
from trainer.cli.values import parse_when
from trainer.core.errors import InputError

if TYPE_CHECKING:
    from trainer.application.choosing.course import CourseReport
    from trainer.application.choosing.course_log import CourseLog, KeptLine
    from trainer.store.records import ShotRecord


def add_commands(commands: Any) -> None:
    """Add `course-log`."""
    parser = commands.add_parser(
        "course-log",
        help="windy approaches of a round, entered afterwards: the card against the course",
        description=(
            "A line an approach: `7 iron, three-quarter, to 150yd: flag-6 4L` came to rest six short of a flag at "
            "150 yd and four left of the line; `wind 14mph 1h` is the wind of those that follow, to the line of the "
            "next."
        ),
    )
    parser.add_argument("file", metavar="FILE", nargs="?", help="the lines; standard input if left out")
    parser.add_argument("--when", metavar="TIME", help="when the round began (today's begun round, else now)")
    add_conditions(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Take the lines one by one; each approach is on the disk before it is acknowledged."""
    from trainer.application.choosing.course import course_data, course_report
    from trainer.application.choosing.course_log import begin_log, moment_of_round
    from trainer.application.evidence.history import local, read_history
    from trainer.store.records import SessionKind

    stated = read_conditions(args, context)
    asked = parse_when(args.when)
    with typed_lines(args.file, context) as opened, context.open_store(write=True) as store:
        lines = from_first_word(opened)
        if lines is None:
            store.player(context.player_alias)
            where = args.file or "standard input"
            raise InputError("there is no line to record", where, "write one approach a line")
        when = asked or moment_of_round(store, context.player_alias, context.now)
        log = begin_log(store, context.player_alias, stated, when)
        context.say(_begun(log))
        taken: list[ShotRecord] = []
        refused = []
        for number, line in lines:
            text = line.rstrip("\r\n")
            try:
                kept = log.line(text, when)
            except InputError as problem:
                refused.append({"line": number, "text": text, "why": str(problem)})
                context.warn(f"line {number}: {problem} (not recorded: {text[:60]})")
                continue
            taken += [] if kept.shot is None else [kept.shot]
            context.say(_acknowledged(kept, log))
        store.end_session(log.session.id, when)
        history = read_history(store, context.player_alias, max(local(when), context.now))
        course = read_history(store, context.player_alias, max(local(when), context.now), SessionKind.COURSE)
    report = course_report(course, history, max(local(when), context.now))
    data = {
        "session": log.session.id,
        "recorded": len(taken),
        "refused": refused,
        "approaches": [_approach_data(shot) for shot in taken],
        "course": course_data(report),
    }
    return Output(_summary(log, len(taken), len(refused), report), data, exit_code=0 if taken else 1)


def _begun(log: CourseLog) -> str:
    when = log.session.started_at
    return f"Course log {log.session.id}, {when:%d %b %Y}: {log.ball} ball from {log.surface}, seen by {log.seen}."


def _approach_data(shot: ShotRecord) -> dict[str, Any]:
    from trainer.application.choosing.course import approach_of
    from trainer.application.views.words import cell_data

    approach = approach_of(shot)
    return {
        "id": shot.id,
        **cell_data(shot.cell),
        "flag_m": shot.target_m,
        "total_m": approach.rest_m,
        "side_m": shot.entry.side_m,
        "called_m": approach.called_m,
        "called_80_m": shot.called_80_m,
        "held": approach.held,
    }


def _acknowledged(kept: KeptLine, log: CourseLog) -> str:
    from trainer.application.choosing.course import approach_of, approach_words
    from trainer.application.views.words import wind_words

    if kept.shot is not None:
        return f"kept {kept.shot.id}: {approach_words(approach_of(kept.shot), log.profile.units)}"
    if kept.reading is not None:
        return f"kept w{kept.reading.id}: {wind_words(kept.reading.wind, log.profile.units)}"
    return ""


def _summary(log: CourseLog, taken: int, refused: int, report: CourseReport | None) -> str:
    from trainer.application.choosing.course import course_sentences
    from trainer.application.views.folding import wrapped

    head = f"Course log {log.session.id}: {taken} recorded, {refused} refused."
    said = [] if report is None else course_sentences(report, log.profile.units)
    return "\n".join([head, *wrapped([*said, "They test the card; your clubs learn from the range alone."])])
