"""A table file's bytes as rows of text: encoding, delimiter, quoting. What the cells mean is not known here."""

from __future__ import annotations

import codecs
import csv
import hashlib
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from trainer.core.errors import InputError
from trainer.exchange.plain_text import shown_text

LARGEST_FILE = 32 * 1024 * 1024
"""Bytes in a shot table."""

MOST_COLUMNS = 500

DELIMITERS = (",", ";", "\t")

_BOMS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_CONTROLS = re.compile("[\x00-\x08\x0b\x0e-\x1f]")
_SPREADSHEET_STARTS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
"""A zipped workbook and the older binary one."""

_LINE_ENDS = ("\n", "\r")
_PIECE = 1 << 20
_MOSTLY = 0.5
"""Share of zero bytes in every other place that shows Latin text in UTF-16 without a mark."""


@dataclass(frozen=True, slots=True)
class TableText:
    """A table's bytes, known to be text in `encoding`. The text itself is never held whole."""

    data: bytes = field(repr=False)
    encoding: str

    def lines(self) -> Iterator[str]:
        """The lines, each with its line end as it stands."""
        return io.TextIOWrapper(io.BytesIO(self.data), self.encoding, newline="")


@dataclass(frozen=True, slots=True)
class TextRow:
    """One row: the line it starts on (from 1), its cells stripped of blanks, and the line(s) as they stood.

    `ended` is False where the file stops without a line end: more of the row may have been meant.
    """

    number: int
    cells: tuple[str, ...]
    raw_text: str
    ended: bool = True


def file_sha256(data: bytes) -> str:
    """The file's hash (hexadecimal), by which the same file is known again."""
    return hashlib.sha256(data).hexdigest()


def table_text(data: bytes, name: str) -> TableText:
    """`data` as text: UTF-8 or UTF-16 by its mark, UTF-16 by its zero bytes, else UTF-8, else Windows-1252.

    Raises InputError for a file that is empty, too large, or no text.
    """
    if not data.strip():
        raise InputError("the file is empty", name, "give a table with a header and a row a shot")
    if len(data) > LARGEST_FILE:
        raise InputError(f"the file is larger than {LARGEST_FILE // 2**20} MB", name, "part it")
    if data.startswith(_SPREADSHEET_STARTS):
        raise InputError("this is a workbook, not a text table", name, "save it as CSV and give that")
    marked = [encoding for bom, encoding in _BOMS if data.startswith(bom)]
    for encoding in marked or _unmarked_utf16(data) or ["utf-8", "cp1252"]:
        if _is_text(data, encoding):
            return TableText(data, encoding)
    raise InputError("this is not a text table", name, "save it as CSV, in UTF-8, and give that")


def _unmarked_utf16(data: bytes) -> list[str]:
    """The byte order that zero bytes show where Latin text was written in UTF-16 without a mark."""
    start = data[:4096]
    low, high = start[0::2].count(0), start[1::2].count(0)
    pairs = len(start) // 2
    if high > _MOSTLY * pairs and not low:
        return ["utf-16-le"]
    return ["utf-16-be"] if low > _MOSTLY * pairs and not high else []


def _is_text(data: bytes, encoding: str) -> bool:
    decoder = codecs.getincrementaldecoder(encoding)()
    try:
        for start in range(0, len(data), _PIECE):
            piece = decoder.decode(data[start : start + _PIECE], start + _PIECE >= len(data))
            if _CONTROLS.search(piece):
                return False
    except UnicodeDecodeError:
        return False
    return True


def read_text_rows(text: TableText, delimiter: str, name: str) -> Iterator[TextRow]:
    """The rows of `text` that hold anything, in order. A first line such as `sep=;` is passed over.

    Raises InputError where a quote is left open or misplaced (the rows after it could not be trusted) and for more
    than 500 columns.
    """
    taken: list[str] = []

    def lines() -> Iterator[str]:
        for line in text.lines():
            taken.append(line)
            yield line

    reader = csv.reader(lines(), delimiter=delimiter, strict=True, skipinitialspace=True)
    number = 1
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise InputError(
                f"the row cannot be read ({shown_text(str(error), 60)})", f"{name}:{number}", "mend its quotes"
            ) from None
        if cells is None:
            return
        if len(cells) > MOST_COLUMNS:
            raise InputError(
                f"the row has more than {MOST_COLUMNS} columns", f"{name}:{number}", "is it a shot table?"
            )
        stripped = tuple(map(str.strip, cells))
        if any(stripped) and not (number == 1 and stripped[0].lower().startswith("sep=")):
            raw = "".join(taken)
            yield TextRow(number, stripped, raw.rstrip("\r\n"), raw[-1:] in _LINE_ENDS)
        number = reader.line_num + 1
        taken.clear()


def complete_part(data: bytes) -> bytes:
    """`data` up to its last line end: what follows may still be being written."""
    marked = [encoding for bom, encoding in _BOMS if data.startswith(bom)]
    wide = marked == ["utf-16"] or (not marked and bool(_unmarked_utf16(data)))
    if not wide:
        return data[: data.rfind(b"\n" if b"\n" in data else b"\r") + 1]
    little = data.startswith(b"\xff\xfe") or (not marked and _unmarked_utf16(data) == ["utf-16-le"])
    end = b"\n\x00" if little else b"\x00\n"
    at = data.rfind(end)
    while at > 0 and at % 2:
        at = data.rfind(end, 0, at + 1)
    return data[: at + 2] if at >= 0 else b""
