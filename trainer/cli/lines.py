"""Typed lines from a file or from standard input."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TextIO

from trainer.cli.context import Context


@contextmanager
def typed_lines(file: str | None, context: Context) -> Iterator[TextIO]:
    """The lines of a file, or of standard input where it is None or `-`."""
    if file is None or file == "-":
        yield context.stdin
    else:
        with Path(file).open(encoding="utf-8-sig", errors="replace") as opened:
            yield opened


def from_first_word(opened: TextIO) -> Iterator[tuple[int, str]] | None:
    """Numbered lines from the first that says anything, None where none does: no session begins for nothing."""
    numbered = enumerate(opened, 1)
    for number, line in numbered:
        if line.strip():
            return itertools.chain([(number, line)], numbered)
    return None
