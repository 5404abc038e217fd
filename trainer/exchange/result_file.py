"""A result file: one session of one player under his alias, from his store to his coach's.

TOML that a person can read, with a checksum of all that stands below it in its first line. Reading one executes
nothing, opens nothing that it names, and takes nothing from it that is not known by name and within its limits.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from typing import Any

import tomli_w

from trainer.core.errors import InputError
from trainer.exchange.plain_text import shown_text
from trainer.exchange.result_model import ResultTable, ShotTable
from trainer.exchange.toml_text import LARGEST_TEXT, read_toml

FORMAT = 1
SUFFIX = ".result.toml"
LARGEST_BYTES = LARGEST_TEXT

_FIRST_LINE = re.compile(r'checksum = "sha256:([0-9a-f]{64})"')
_FORMAT = re.compile(r"^format = (\d{1,9})$", re.MULTILINE)
_HEAD = 2000
"""Characters in which the format must stand: it is looked at before anything else is trusted."""


def write_result(result: ResultTable) -> str:
    """`result` as text that `read_result` gives back the same."""
    body = tomli_w.dumps(_said(result))
    return f'checksum = "sha256:{_checksum(body)}"\n{body}'


def _said(result: ResultTable) -> dict[str, Any]:
    """What is not at its default, so that a ball not seen from above has no line for its height."""
    said: dict[str, Any] = result.model_dump(exclude_defaults=True, exclude_none=True)
    return said


def _checksum(body: str) -> str:
    return hashlib.sha256(body.encode("utf-8")).hexdigest()


def read_result(content: bytes, name: str) -> ResultTable:
    """The result in `content`; `name` is the file's, for errors.

    Raises InputError in one line for what is no result file, too large, of a newer format, changed since it was
    written (checksum), and for a key that is not known, a value out of its limits or parts that contradict.
    """
    text = _text(content, name)
    head, _, body = text.partition("\n")
    match = _FIRST_LINE.fullmatch(head)
    written = _FORMAT.search(body[:_HEAD])
    if match is None or written is None:
        raise InputError("this is not a result file", name, "name one that `trainer squad submit` wrote")
    if int(written[1]) > FORMAT:
        raise InputError(
            f"the file has format {written[1]}, this trainer knows {FORMAT} at most", name, "install a newer trainer"
        )
    if match[1] != _checksum(body):
        raise InputError(
            "the checksum is wrong: the file was changed or cut off since it was written", name, "ask for it again"
        )
    result = read_toml(f"\n{body}", name, ResultTable)
    _require_consistent(result, name)
    return result


def _text(content: bytes, name: str) -> str:
    if len(content) > LARGEST_BYTES:
        raise InputError(f"the file is larger than {LARGEST_BYTES // 1024} KB", name, "it holds something else")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"this is not UTF-8 text ({error.reason})", name, "ask for the file again") from None
    return text.replace("\r\n", "\n")  # as some mail programs leave it


def _require_consistent(result: ResultTable, name: str) -> None:
    """Raise InputError where parts of a well-formed result contradict each other."""
    if result.format != FORMAT:
        raise InputError(f"format {result.format} is not known", name, f"this trainer reads format {FORMAT}")
    readings = _once((reading.id for reading in result.reading), "wind reading", name)
    clubs = _once((club.key for club in result.player.club), "club", name)
    _once((flag.name for flag in result.player.flag), "flag", name)
    _once((shot.id for shot in result.shot), "shot", name)
    _once((str(shot.number) for shot in result.shot), "shot number", name)
    _once((str(shot.ball_number) for shot in result.shot if shot.ball_number), "ball of the agenda", name)
    if all(club.retired for club in result.player.club):
        raise InputError("no club is in the bag", name, "ask for the file again")
    for shot in result.shot:
        where = f"{name}: shot {shot.number}"
        if shot.club not in clubs:
            raise InputError(f"the club '{shown_text(shot.club)}' is not among the player's", where, "correct it")
        if shot.reading is not None and shot.reading not in readings:
            raise InputError(f"the wind reading {shot.reading} is not in the file", where, "correct it")
        _require_possible(shot, where)


def _once(names: Iterable[str], what: str, where: str) -> set[str]:
    known: set[str] = set()
    for name in names:
        if name in known:
            raise InputError(f"{what} '{shown_text(name)}' is there twice", where, "ask for the file again")
        known.add(name)
    return known


def _require_possible(shot: ShotTable, where: str) -> None:
    seen = (shot.carry_m, shot.total_m, shot.side_m, shot.flag, shot.depth, shot.width)
    if shot.unseen and any(part is not None for part in seen):
        raise InputError("a ball not seen has no distance, side or zone", where, "leave out one of the two")
    for called in (shot.called_50_m, shot.called_80_m):
        if called is not None and called[0] > called[1]:
            raise InputError("a called range is upside down", where, "give the low end first")
