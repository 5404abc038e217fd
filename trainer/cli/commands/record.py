"""`trainer record`: a session without screens, one typed line a shot."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from trainer.cli.conditions import add_conditions, read_conditions
from trainer.cli.context import Context, Output
from trainer.cli.lines import from_first_word, typed_lines
from trainer.cli.record_guide import Guide, is_typed
from trainer.cli.values import parse_when
from trainer.cli.wishes import add_wish, plan_folders, read_plan_wish
from trainer.core.errors import InputError

if TYPE_CHECKING:
    from trainer.application.conditions.stated import StatedConditions
    from trainer.application.planning.agenda import PlannedSession
    from trainer.application.session.recording import Kept, Recorder
    from trainer.core.profile import Profile
    from trainer.store.store import Store


def add_commands(commands: Any) -> None:
    """Add `record`."""
    parser = commands.add_parser(
        "record",
        help="a session without screens: one typed shot a line",
        description="A line a shot: `142 6L` or `7 iron, 1 in, three-quarter: 142 6L`; `wind 14mph 1h` is a reading; "
        "`instead 7 iron, half: knee hurts` and `skip tired` change the next ball; `thunder` begins the wait.",
    )
    parser.add_argument("file", metavar="FILE", nargs="?", help="the lines; standard input if left out")
    add_wish(parser)
    parser.add_argument("--when", metavar="TIME", help="the moment of the session, such as 2026-05-14T18:30")
    add_conditions(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Take the lines one by one; each shot is on the disk before it is acknowledged."""
    from trainer.application.estimates.calling import Caller
    from trainer.application.session.recording import begin_planned, planned_for

    when, alias = parse_when(args.when), context.player_alias
    begins = when or context.now
    wish = read_plan_wish(args)
    stated = read_conditions(args, context)

    def plan(store: Store) -> PlannedSession | None:
        return planned_for(store, alias, stated, begins, wish, plan_folders(context))

    with typed_lines(args.file, context) as opened, context.open_store(write=True) as store:
        guide = Guide(context, store) if is_typed(args.file, context) else None
        if guide is not None:
            profile, planned = store.player(alias).profile, plan(store)
            guide.begin(_taken_words(profile, stated, planned), planned, profile)
        lines = from_first_word(opened)
        if lines is None:
            store.player(alias)
            raise InputError("there is no line to record", args.file or "standard input", "write one shot a line")
        if guide is None:
            planned = plan(store)
        recorder = begin_planned(store, alias, stated, begins, planned)
        recorder.caller = Caller(store, recorder.profile.alias)
        begun = _begun(recorder, stated)
        # At a terminal all but the session's number was said before the first line.
        for note in begun if guide is None else begun[:1]:
            context.say(note)
        done = _take(lines, store, recorder, when, context, guide)
        store.end_session(recorder.session.id, when or context.clock())
    data = {"session": recorder.session.id, "recorded": done.taken, "refused": done.refused, "changes": done.changes}
    data |= _taken_as(recorder, stated)
    text = f"Session {recorder.session.id}: {done.taken} recorded, {len(done.refused)} refused."
    return Output(text, data, exit_code=0 if done.taken else 1)


@dataclass
class _Done:
    """What became of the lines."""

    taken: int = 0
    refused: list[dict[str, Any]] = field(default_factory=list)
    changes: list[dict[str, Any]] = field(default_factory=list)


def _take(
    lines: Iterator[tuple[int, str]],
    store: Store,
    recorder: Recorder,
    when: datetime | None,
    context: Context,
    guide: Guide | None,
) -> _Done:
    """Keep the lines one by one, each acknowledged as it is kept."""
    done = _Done()
    for number, line in lines:
        text, at = line.rstrip("\r\n"), when or context.clock()
        kept = None
        try:
            kept = recorder.line(text, at)
        except InputError as problem:
            done.refused.append({"line": number, "text": text, "why": str(problem)})
            context.warn(f"line {number}: {problem} (not recorded: {text[:60]})")
        if kept is not None:
            done.taken += kept.shot is not None
            context.say(_acknowledged(kept, recorder))
            if kept.shot is not None and (wait := recorder.thunder_words(at)):
                context.warn(f"line {number}: kept, but {wait}")
            if said := _planned_anew(store, recorder, at, context):
                done.changes.append({"line": number, "changes": list(said)})
        if guide is not None:
            guide.go_on(recorder, kept, at)
    return done


def _taken_as(recorder: Recorder, stated: StatedConditions) -> dict[str, Any]:
    from trainer.application.views.words import wind_data
    from trainer.core.conditions import UNKNOWN_WIND

    return {
        "wind": wind_data(UNKNOWN_WIND if recorder.reading is None else recorder.reading.wind),
        "ball": str(stated.ball or recorder.profile.ball),
        "surface": str(stated.surface or recorder.profile.surface),
        "seen": str(stated.seen or recorder.profile.seen),
        "air_stated": stated.air_is_stated,
    }


def _begun(recorder: Recorder, stated: StatedConditions) -> list[str]:
    """What is taken for granted, said before the first ball."""
    first, *others = _taken_words(recorder.profile, stated, recorder.planned)
    return [f"Session {recorder.session.id}: {first}", *others]


def _taken_words(profile: Profile, stated: StatedConditions, planned: PlannedSession | None) -> list[str]:
    from trainer.application.views.words import wind_words

    ball, surface = stated.ball or profile.ball, stated.surface or profile.surface
    seen = stated.seen or profile.seen
    said = [f"{ball} ball from {surface}, seen by {seen}."]
    if stated.wind is not None:
        said.append(f"Wind: {wind_words(stated.wind, profile.units)}.")
    else:
        said.append(
            "The wind is not known: these balls will tell little of still air. Write such as `wind 14mph 1h`."
        )
    if not stated.air_is_stated:
        said.append("Air not given: 15 °C and 1013 hPa are taken.")
    if planned is not None:
        said += [f"Plan: {planned.plan.title}. Warm-up balls are hit, not recorded.", *planned.agenda.notes]
    return said


def _planned_anew(store: Store, recorder: Recorder, at: datetime, context: Context) -> tuple[str, ...]:
    """Plan the balls to come anew where that is due, and say what changed."""
    from trainer.application.session.replanning import plan_anew

    try:
        changes = plan_anew(store, recorder, at)
    except InputError as problem:
        context.warn(f"the balls to come stay as planned: {problem}")
        return ()
    for change in changes:
        context.say(f"  {change}")
    return changes


def _acknowledged(kept: Kept, recorder: Recorder) -> str:
    from trainer.application.estimates.gapping import cell_words
    from trainer.application.evidence.known_tags import tag_questions
    from trainer.application.session.live_words import wind_warning
    from trainer.application.views.words import wind_words
    from trainer.exchange.typed_shot import print_typed_shot

    profile = recorder.profile
    if kept.shot is not None:
        shot = print_typed_shot(kept.shot.entry, profile.units, profile.sees)
        asked = tag_questions(kept.shot.entry.tags)
        return f"kept {kept.shot.id}: {cell_words(kept.shot.cell, profile.units)}: {shot}{asked and f'; {asked}'}"
    if kept.reading is not None:
        # With a plan the new rest says so first.
        warning = wind_warning(kept.reading.wind, profile) if recorder.planned is None else ""
        return f"kept w{kept.reading.id}: {wind_words(kept.reading.wind, profile.units)}{warning and f'; {warning}'}"
    if kept.flag is not None:
        return f"kept flag {kept.flag.name}: {profile.units.shown_distance(kept.flag.distance_m)}"
    return _word_acknowledged(kept, recorder)


def _word_acknowledged(kept: Kept, recorder: Recorder) -> str:
    """What was kept, where it was no ball, wind or flag; empty for a blank line."""
    from trainer.application.estimates.gapping import cell_words
    from trainer.application.session.said_first import said_words

    profile = recorder.profile
    if kept.thunder_at is not None:
        from trainer.application.session.thunder import LOCAL_RULES

        return f"kept: {recorder.thunder_words(kept.thunder_at)}. {LOCAL_RULES}"
    if kept.said is not None:
        return f"kept: {said_words(kept.said, profile.units)}"
    if kept.ball is not None:
        left_out, why = kept.ball.skip_reason, kept.ball.ball.override
        return f"ball {kept.ball.number}: " + (
            f"left out, {left_out}" if left_out else f"{cell_words(kept.ball.ball.cell, profile.units)}, {why}"
        )
    return ""
