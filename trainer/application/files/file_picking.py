"""A file found by its path as it is typed: what lies in the folder, and how the path goes on."""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from trainer.application.views.practice import harmless
from trainer.application.views.table import FileRow, FolderView
from trainer.core.errors import InputError

TABLE_ENDINGS = (".csv", ".tsv", ".tab", ".txt")
MOST_ROWS = 400
"""Rows of a folder that are shown; typing on narrows them down."""


def list_folder(typed: str, endings: Sequence[str] = TABLE_ENDINGS, *, folders_only: bool = False) -> FolderView:
    """What fits `typed`: files with one of `endings`, the newest first, then folders by name.

    A file that is typed in full is listed whatever its ending. Hidden ones only where they are typed. With
    `folders_only` the folder itself comes first.
    """
    before, prefix = _parted(typed)
    try:
        folder = path_of(before or ".")
    except InputError as problem:
        return FolderView(harmless(before), (), typed, problem.what)
    try:
        with os.scandir(folder) as found:
            entries = [entry for entry in found if _fits(entry.name, prefix)]
    except OSError as problem:
        return FolderView(harmless(str(folder)), (), typed, _why_not(problem))
    folders = sorted((entry.name for entry in entries if _is_folder(entry)), key=str.lower)
    files = [] if folders_only else _files(entries, prefix, endings)
    here = [FileRow("this folder", before or "./", "take it")] if folders_only and not prefix else []
    rows = [
        *here,
        *(FileRow(harmless(name), f"{before}{name}", detail) for name, detail in files),
        *(FileRow(harmless(f"{name}/"), f"{before}{name}/", "folder", True) for name in folders),
    ][:MOST_ROWS]
    common = os.path.commonprefix([row.typed for row in rows[len(here) :]])  # noqa: RUF071 - letter by letter is what is wanted
    said = "" if rows else _nothing(folder, prefix, folders_only=folders_only)
    return FolderView(harmless(str(folder.absolute())), tuple(rows), common or typed, said)


def _parted(typed: str) -> tuple[str, str]:
    """The folder of a typed path, with its slash, and what is typed of a name in it."""
    if typed in ("~", ".", ".."):
        return f"{typed}/", ""
    before, slash, prefix = typed.rpartition("/")
    return before + slash, prefix


def _fits(name: str, prefix: str) -> bool:
    hidden = name.startswith(".") and not prefix.startswith(".")
    return not hidden and name.lower().startswith(prefix.lower())


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False


def _files(entries: Sequence[os.DirEntry[str]], prefix: str, endings: Sequence[str]) -> list[tuple[str, str]]:
    """Name and detail of each file that may be a table, the newest first."""
    found: list[tuple[float, str, str]] = []
    for entry in entries:
        if not entry.name.lower().endswith(tuple(endings)) and entry.name != prefix:
            continue
        try:
            if not entry.is_file():
                continue
            held = entry.stat()
        except OSError:
            continue
        day = datetime.fromtimestamp(held.st_mtime)
        found.append((held.st_mtime, entry.name, f"{_size(held.st_size)}, {day:%d %b %Y %H:%M}"))
    found.sort(key=lambda each: (each[1] != prefix, -each[0], each[1].lower()))
    return [(name, detail) for _, name, detail in found]


def _size(size_bytes: int) -> str:
    if size_bytes < 1024:
        return f"{size_bytes} bytes"
    return f"{size_bytes / 1024:.0f} kB" if size_bytes < 1024**2 else f"{size_bytes / 1024**2:.1f} MB"


def _why_not(problem: OSError) -> str:
    return f"this folder cannot be read ({problem.strerror or 'no reason given'})"


def _nothing(folder: Path, prefix: str, *, folders_only: bool) -> str:
    what = "folder" if folders_only else "table or folder"
    where = f"in {folder}" if str(folder) != "." else "here"
    return harmless(f"no {what} {where}" + (f" begins with {prefix}" if prefix else ""))


def path_of(typed: str) -> Path:
    """The path that is typed, `~` and `~name` as home folders. Raises InputError for a home that nobody has."""
    path = Path(typed.strip())
    try:
        return path.expanduser()
    except RuntimeError:
        home = harmless(path.parts[0])
        raise InputError(
            f"there is no home folder {home}", "path", "write ~/ for your own, or the whole path"
        ) from None


def file_at(typed: str) -> Path:
    """The file that a typed path names. Raises InputError where there is none."""
    path = path_of(typed)
    if not typed.strip() or not path.is_file():
        raise InputError("there is no such file", harmless(typed.strip()) or "file", "pick one of the list")
    return path


def folder_named(typed: str) -> Path:
    """The folder that a typed path names, there or not. Raises InputError for an empty one."""
    if not typed.strip():
        raise InputError("which folder?", "folder", "type its path, such as ~/squad")
    return path_of(typed)
