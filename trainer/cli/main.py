"""The command line: words in, one command run, text or one JSON object out, and the exit code.

0 done; 1 the input was wrong; 2 the words of the command were wrong; 3 the store is unusable.
"""

from __future__ import annotations

import argparse
import errno
import importlib
import io
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import NoReturn, TextIO

from trainer.application.views.practice import harmless
from trainer.cli.context import Context, Output, local_now
from trainer.cli.words import UsageError, Words, order_words
from trainer.core.errors import StoreError, TrainerError

COMMAND_MODULES = (
    "setup",
    "flight",
    "plans",
    "record",
    "group",
    "shots",
    "importing",
    "gaps",
    "compare",
    "choose",
    "card",
    "progress",
    "course",
    "round",
    "report",
    "squad",
    "files",
    "demo",
)
"""Modules of `trainer.cli.commands` that each add a group of commands."""

DONE, WRONG_INPUT, WRONG_WORDS, STORE_UNUSABLE = 0, 1, 2, 3
INTERRUPTED = 130


class Parser(argparse.ArgumentParser):
    """argparse that raises instead of leaving the process, and abbreviates nothing."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        kwargs["allow_abbrev"] = False
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]  # passed through unchanged

    def error(self, message: str) -> NoReturn:
        """Raise UsageError with the command's name in front."""
        raise UsageError(f"{self.prog}: {message} (see `{self.prog} --help`)")


@cache
def build_parser() -> argparse.ArgumentParser:
    """The whole command line. Light: no command's own work is imported here."""
    parser = Parser(
        prog="trainer",
        description="Plan, record and estimate wind-day practice: know how far each club goes when it blows.",
        epilog="--json, --store PATH and --player ALIAS may stand before or after the command.",
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", parser_class=Parser)
    for name in COMMAND_MODULES:
        importlib.import_module(f"trainer.cli.commands.{name}").add_commands(commands)
    return parser


@dataclass(frozen=True, slots=True)
class Streams:
    """Where a command reads and writes."""

    stdin: TextIO
    stdout: TextIO
    stderr: TextIO


def run(arguments: Sequence[str], streams: Streams, environ: Mapping[str, str], clock: Callable[[], datetime]) -> int:
    """Run one command line and give its exit code. No exception for wrong input leaves it."""
    try:
        words = order_words(list(arguments))
        args = build_parser().parse_args(list(words.rest))
        output = _run_command(args, words, streams, environ, clock)
    except UsageError as problem:
        return _complain(streams, str(problem), WRONG_WORDS)
    except StoreError as problem:
        return _complain(streams, str(problem), STORE_UNUSABLE)
    except TrainerError as problem:
        return _complain(streams, str(problem), WRONG_INPUT)
    except UnicodeDecodeError as problem:
        return _complain(streams, f"the text is not UTF-8 ({problem.reason}); save it as UTF-8", WRONG_INPUT)
    except OSError as problem:
        what = problem.strerror or str(problem)
        return _complain(
            streams, f"{problem.filename or 'a file'}: {what}; check the path and its rights", WRONG_INPUT
        )
    _show(output, words, streams)
    return output.exit_code


def _run_command(
    args: argparse.Namespace,
    words: Words,
    streams: Streams,
    environ: Mapping[str, str],
    clock: Callable[[], datetime],
) -> Output:
    context = Context(
        now=clock(),
        clock=clock,
        environ=environ,
        stdin=streams.stdin,
        stdout=streams.stdout,
        stderr=streams.stderr,
        store_option=words.store,
        player_alias=words.player,
        json=words.json,
        interactive=streams.stdin.isatty() and streams.stdout.isatty(),
    )
    if args.command is None:
        from trainer.cli.summary import run_summary

        return run_summary(context)
    result: Output = args.run(args, context)
    return result


def _show(output: Output, words: Words, streams: Streams) -> None:
    for line in output.warnings:
        streams.stderr.write(f"{harmless(line)}\n")
    if words.json:
        import json

        streams.stdout.write(_escaped(json.dumps(output.data, allow_nan=False, ensure_ascii=False)) + "\n")
    else:
        streams.stdout.write(harmless(output.text, keep_lines=True).rstrip("\n") + "\n")
    streams.stdout.flush()


def _escaped(data: str) -> str:
    """JSON in which what cannot be printed is written as an escape: JSON leaves most of it as it is."""
    import json

    if data.isprintable():
        return data
    return "".join(char if char.isprintable() else json.dumps(char)[1:-1] for char in data)


def _complain(streams: Streams, text: str, code: int) -> int:
    streams.stderr.write(harmless(text).strip() + "\n")
    return code


def run_process(arguments: Sequence[str]) -> int:
    """Run with the process's own streams, environment and clock."""
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8")
    streams = Streams(sys.stdin, sys.stdout, sys.stderr)
    try:
        return run(arguments, streams, os.environ, local_now)
    except BrokenPipeError:
        # The reader of a pipe went away (`trainer gaps | head`): nothing is left to say, and nothing was lost.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except OSError as problem:
        if problem.errno != errno.EIO:
            raise
        # The terminal went away (`_show` had nobody to tell).
        return DONE
    except KeyboardInterrupt:
        return INTERRUPTED
