from __future__ import annotations

import os
from pathlib import Path

import pytest

from trainer.store.location import store_path


def test_an_explicit_path_wins_over_the_environment(tmp_path: Path) -> None:
    named = tmp_path / "mine.db"
    assert store_path(named, {"TRAINER_STORE": str(tmp_path / "other.db")}) == named


def test_the_environment_names_the_file(tmp_path: Path) -> None:
    assert store_path(None, {"TRAINER_STORE": str(tmp_path / "other.db")}) == tmp_path / "other.db"


def test_a_folder_that_stands_means_the_file_inside(tmp_path: Path) -> None:
    assert store_path(str(tmp_path), {}) == tmp_path / "trainer.db"
    assert store_path(None, {"TRAINER_STORE": str(tmp_path)}) == tmp_path / "trainer.db"


def test_a_path_ending_in_a_separator_is_a_folder_before_it_stands(tmp_path: Path) -> None:
    coming = tmp_path / "coming"
    assert store_path(f"{coming}{os.sep}", {}) == coming / "trainer.db"
    assert store_path(str(coming), {}) == coming
    assert not coming.exists()


@pytest.mark.parametrize("environ", [{}, {"TRAINER_STORE": ""}])
def test_else_it_is_in_the_platforms_data_folder(
    environ: dict[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setattr("sys.platform", "linux")
    found = store_path(None, environ)
    assert found.name == "trainer.db"
    assert found.is_absolute()
    assert not found.parent.exists()


def test_a_relative_path_and_a_home_are_made_absolute(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert store_path("a.db", {}) == tmp_path / "a.db"
    assert store_path("~/a.db", {}) == tmp_path / "home" / "a.db"
