"""Text for a person in lines that a terminal shows whole: folded between words. Nothing heavy is loaded here."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

TEXT_WIDTH = 80
"""Columns of a terminal that every line for a person keeps to; a longer single word, such as a path, stays whole."""


def folded(
    text: str, width: int = TEXT_WIDTH, *, indent: str = "", hanging: str | None = None, cut_words: bool = False
) -> list[str]:
    """One paragraph as lines of at most `width`, the first begun by `indent`, the others by `hanging` or that too.

    A word with hyphens stays one; a word longer than a line stays whole too unless `cut_words`, as a window needs.
    """
    return textwrap.wrap(
        text,
        width,
        initial_indent=indent,
        subsequent_indent=indent if hanging is None else hanging,
        break_long_words=cut_words,
        break_on_hyphens=False,
    )


def wrapped(sentences: Sequence[str], width: int = TEXT_WIDTH) -> list[str]:
    """Sentences as lines of at most `width`, each sentence begun by a dash."""
    return [line for sentence in sentences for line in folded(sentence, width, indent="- ", hanging="  ")]


def paragraphs(*said: str) -> str:
    """Paragraphs as one text, each folded; an empty one is a blank line."""
    return "\n".join(line for each in said for line in folded(each) or [""])
