"""A table file's bytes as rows of text: encoding, delimiter, quoting. What the cells mean is not known here."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Iterator
from dataclasses import dataclass

from trainer.core.errors import InputError
from trainer.exchange.quantity_text import shown_text

LARGEST_FILE = 16 * 1024 * 1024
"""Bytes in a shot table."""

MOST_COLUMNS = 500

DELIMITERS = (",", ";", "\t")

_BOMS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_PLAIN_CONTROLS = "\t\n\r\x0c"
_SPREADSHEET_STARTS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
"""A zipped workbook and the older binary one."""


@dataclass(frozen=True, slots=True)
class TextRow:
    """One row: the line it starts on (from 1), its cells stripped of blanks, and the line(s) as they stood."""

    number: int
    cells: tuple[str, ...]
    raw_text: str


def file_sha256(data: bytes) -> str:
    """The file's hash (hexadecimal), by which the same file is known again."""
    return hashlib.sha256(data).hexdigest()


def decode_table(data: bytes, name: str) -> str:
    """`data` as text: UTF-8 or UTF-16 by its mark, else UTF-8, else Windows-1252.

    Raises InputError for a file that is empty, too large, or no text.
    """
    if not data.strip():
        raise InputError("the file is empty", name, "give a table with a header and a row a shot")
    if len(data) > LARGEST_FILE:
        raise InputError(f"the file is larger than {LARGEST_FILE // 2**20} MB", name, "part it")
    if data.startswith(_SPREADSHEET_STARTS):
        raise InputError("this is a workbook, not a text table", name, "save it as CSV and give that")
    marked = [encoding for bom, encoding in _BOMS if data.startswith(bom)]
    for encoding in marked or ["utf-8", "cp1252"]:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if not any(letter < " " and letter not in _PLAIN_CONTROLS for letter in set(text)):
            return text
    raise InputError("this is not a text table", name, "save it as CSV, in UTF-8, and give that")


def read_text_rows(text: str, delimiter: str, name: str) -> Iterator[TextRow]:
    """The rows of `text` that hold anything, in order. A first line such as `sep=;` is passed over.

    Raises InputError where a quote is left open or misplaced (the rows after it could not be trusted) and for more
    than 500 columns.
    """
    taken: list[str] = []

    def lines() -> Iterator[str]:
        for line in io.StringIO(text, newline=""):
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
        stripped = tuple(cell.strip() for cell in cells)
        if any(stripped) and not (number == 1 and stripped[0].lower().startswith("sep=")):
            yield TextRow(number, stripped, "".join(taken).rstrip("\r\n"))
        number = reader.line_num + 1
        taken.clear()
