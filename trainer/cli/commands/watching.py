"""`trainer import FILE --watch`: a table that grows, each new row asked about and kept in the session."""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli.conditions import read_conditions
from trainer.cli.context import Context, Output
from trainer.cli.table_options import read_answers, read_columns
from trainer.cli.values import parse_when, whole_number
from trainer.cli.wishes import plan_folders, read_plan_wish
from trainer.core.errors import InputError
from trainer.core.units import parse_quantity

if TYPE_CHECKING:
    from trainer.application.files.table_opening import OpenedTable
    from trainer.application.files.watching import Match, Replies, Watch
    from trainer.application.session.recording import Recorder
    from trainer.store.records import ShotRecord
    from trainer.store.store import Store

NOT_WATCHED = ("dry_run", "write_columns", "remember")


def run_watched(args: argparse.Namespace, context: Context) -> Output:
    """Follow the file until Ctrl-C, or until nothing was new for `--stop-after`."""
    from trainer.application.files.table_opening import maps_folder
    from trainer.application.files.watching import Waiting, run_watch, watch

    for name in NOT_WATCHED:
        if getattr(args, name):
            raise InputError("this does not go with --watch", f"--{name.replace('_', '-')}", "leave it out")
    if not args.accept and not context.interactive:
        raise InputError("nobody is there to confirm each row", "--watch", "add --accept to take the rows unasked")
    every_s = parse_quantity(args.every, "duration", "s", "--every")
    quiet_s = None if args.stop_after is None else parse_quantity(args.stop_after, "duration", "s", "--stop-after")
    waiting = Waiting(
        context.clock, time.sleep, max(every_s, 0.05), None if quiet_s is None else timedelta(seconds=quiet_s)
    )
    with context.open_store(write=True) as store:
        recorder = _recorder(args, context, store)
        maps = maps_folder(store.path)
        watched = watch(store, recorder, Path(args.file), read_columns(args), read_answers(args), maps)
        talk = _Talk(args, context, store, watched)
        context.say(f"Session {recorder.session.id}: following {args.file}. Ctrl-C ends it.")
        try:
            run_watch(watched, waiting, talk.replies())
        except KeyboardInterrupt:
            context.say("")
        if rest := watched.follower.unfinished():
            talk.tell(rest)
        store.end_session(recorder.session.id, context.clock())
    return talk.output(recorder)


def _recorder(args: argparse.Namespace, context: Context, store: Store) -> Recorder:
    """The session asked for, that of an earlier watch of this file on the same day, or a new one."""
    from trainer.application.estimates.calling import Caller
    from trainer.application.files.watching import watched_before
    from trainer.application.session.recording import begin, resume

    when = parse_when(args.when) or context.now
    session_id = whole_number(args.session, "--session")
    player = store.player(context.player_alias)
    if session_id is not None:
        _require_nothing_anew(args)
    if session_id is None and args.plan is None:
        before = watched_before(store, player.id, Path(args.file))
        if before is not None and store.session(before.session_id).started_at.date() == when.date():
            session_id = before.session_id
    if session_id is None:
        wish, stated = read_plan_wish(args), read_conditions(args, context)
        recorder = begin(store, player.profile.alias, stated, when, wish, plan_folders(context))
    else:
        recorder = resume(store, player.profile.alias, session_id)
    recorder.caller = Caller(store, recorder.profile.alias)
    return recorder


def _require_nothing_anew(args: argparse.Namespace) -> None:
    """Raise InputError where a session that stands is given a plan or conditions: it has its own."""
    from trainer.application.conditions.stating import CONDITION_WORDS

    for word in ("plan", "balls", "minutes", "seed", "level", *CONDITION_WORDS):
        if getattr(args, word.replace("-", "_")) not in (None, False):
            raise InputError(
                "a session that stands has its own plan and conditions",
                f"--{word}",
                f"leave out --{word} or --session",
            )


class _Talk:
    """What is asked and said at the terminal, and the count of what came of it."""

    def __init__(self, args: argparse.Namespace, context: Context, store: Store, watched: Watch) -> None:
        self._args, self._context, self._store, self._watched = args, context, store, watched
        self._kept: list[dict[str, Any]] = []
        self._left: list[dict[str, Any]] = []
        self._said: list[str] = []

    def replies(self) -> Replies:
        """The answers that `run_watch` asks for."""
        from trainer.application.files.watching import Replies

        return Replies(self._ask, self._decide, self._on_kept, self._on_left, self.tell)

    def tell(self, line: str) -> None:
        """Say a line at once, and keep it for the end."""
        self._said.append(line)
        self._context.warn(line)

    def _ask(self, opened: OpenedTable, answer: Callable[[str, str], OpenedTable]) -> bool:
        question = opened.open_questions[0]
        if self._args.accept or not self._context.interactive:
            raise InputError(f"not settled: {question.text}", self._args.file, "answer by an option or --columns")
        choices = f" [{'/'.join(question.choices)}]" if question.choices else ""
        try:
            answer(question.key, self._context.ask(f"{question.text}{choices}"))
        except InputError as problem:
            self._context.warn(str(problem))
        return True

    def _decide(self, match: Match) -> Match | None:
        words = self._words(match)
        if self._args.accept:
            if match.doubt:
                self.tell(f"row {match.number}: {match.doubt}; it is kept as the row says")
            return match
        if match.doubt:
            reply = self._context.ask(f"{words}; {match.doubt}. Keep? [row/ball/no]").lower()
            return match if reply in ("row", "r") else match.as_next_ball() if reply in ("ball", "b") else None
        reply = self._context.ask(f"{words}. Keep? [yes/no]").lower()
        return match if reply in ("", "y", "yes") else None

    def _words(self, match: Match) -> str:
        from trainer.exchange.cell_text import print_cell
        from trainer.exchange.typed_shot import print_typed_shot

        profile = self._watched.recorder.profile
        if match.cell is None or match.entry is None:
            return f"row {match.number}"
        shot = print_typed_shot(match.entry, profile.units, profile.sees)
        ball = "" if match.ball is None else f", ball {match.ball.number}"
        return f"row {match.number}{ball}: {print_cell(match.cell, profile.units)}: {shot}"

    def _on_kept(self, match: Match, shot: ShotRecord) -> None:
        from trainer.application.session.replanning import plan_anew

        self._kept.append({"row": match.number, "shot": shot.id, "ball": shot.agenda_number})
        self._context.say(f"kept {shot.id}: {self._words(match)}")
        recorder = self._watched.recorder
        if wait := recorder.thunder_words(shot.at):
            self._context.warn(f"row {match.number}: kept, but {wait}")
        try:
            for change in plan_anew(self._store, recorder, self._context.clock()):
                self._context.say(f"  {change}")
        except InputError as problem:
            self._context.warn(f"the balls to come stay as planned: {problem}")

    def _on_left(self, match: Match) -> None:
        why = match.why or "not confirmed"
        self._left.append({"row": match.number, "why": why})
        self._context.warn(f"row {match.number}: {why}")

    def output(self, recorder: Recorder) -> Output:
        """What came of it all."""
        import_id = self._watched.import_id
        data = {
            "session": recorder.session.id,
            "imported": len(self._kept),
            "kept": self._kept,
            "skipped": self._left,
            "said": self._said,
            "import": None if import_id is None else f"i{import_id}",
        }
        text = f"Session {recorder.session.id}: {len(self._kept)} kept, {len(self._left)} left."
        return Output(text, data)
