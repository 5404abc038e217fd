"""What fits a path as it is typed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from trainer.application.files.file_picking import file_at, folder_named, list_folder
from trainer.core.errors import InputError


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "back").mkdir()
    (tmp_path / "Bags").mkdir()
    for age, name in enumerate(("b-old.csv", "B-new.tsv", "notes.md", ".b.csv")):
        (tmp_path / name).write_text("x", encoding="utf-8")
        os.utime(tmp_path / name, (1_700_000_000 + age, 1_700_000_000 + age))
    return tmp_path


def names(folder: Path, typed: str, *, folders_only: bool = False) -> list[str]:
    view = list_folder(f"{folder}/{typed}", folders_only=folders_only)
    return [row.typed.removeprefix(f"{folder}/") for row in view.rows]


def test_tables_come_newest_first_then_folders(folder: Path) -> None:
    assert names(folder, "") == ["B-new.tsv", "b-old.csv", "back/", "Bags/"]
    assert names(folder, "b") == ["B-new.tsv", "b-old.csv", "back/", "Bags/"]
    assert names(folder, "ba") == ["back/", "Bags/"]
    assert names(folder, ".b") == [".b.csv"]
    assert names(folder, "notes.md") == ["notes.md"]


def test_only_folders_where_a_folder_is_wanted(folder: Path) -> None:
    assert names(folder, "", folders_only=True) == ["", "back/", "Bags/"]
    assert names(folder, "bac", folders_only=True) == ["back/"]


def test_a_path_is_completed_as_far_as_there_is_no_doubt(folder: Path) -> None:
    assert list_folder(f"{folder}/bac").completed == f"{folder}/back/"
    assert list_folder(f"{folder}/b-o").completed == f"{folder}/b-old.csv"
    assert list_folder(f"{folder}/nothing").completed == f"{folder}/nothing"


def test_a_folder_that_is_not_there_says_so() -> None:
    view = list_folder("/no/such/folder/")
    assert view.rows == ()
    assert view.said


def test_what_is_no_file_is_refused(folder: Path) -> None:
    for typed in ("", str(folder), f"{folder}/nothing.csv"):
        with pytest.raises(InputError):
            file_at(typed)
    assert file_at(f" {folder}/b-old.csv ") == folder / "b-old.csv"
    with pytest.raises(InputError):
        folder_named("  ")


def test_a_home_that_nobody_has_is_told_and_not_fallen_over() -> None:
    view = list_folder("~nobody-of-this-name/t")
    assert view.rows == ()
    assert view.said
    for read in (file_at, folder_named):
        with pytest.raises(InputError):
            read("~nobody-of-this-name/t.csv")
