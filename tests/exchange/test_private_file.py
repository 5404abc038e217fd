from __future__ import annotations

import os
import stat
import sys
from pathlib import Path

import pytest

from trainer.core.errors import InputError
from trainer.exchange.private_file import write_folder, write_private


def test_the_owner_alone_may_read_it(tmp_path: Path) -> None:
    write_private(tmp_path / "a.csv", "x,y\r\n1,ü\r\n")
    assert (tmp_path / "a.csv").read_bytes() == "x,y\r\n1,ü\r\n".encode()
    assert [file.name for file in tmp_path.iterdir()] == ["a.csv"]
    if sys.platform != "win32":
        assert stat.S_IMODE((tmp_path / "a.csv").stat().st_mode) == 0o600


def test_nothing_is_overwritten_and_then_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "b.csv").write_text("dear")
    with pytest.raises(InputError, match=r"b\.csv"):
        write_folder(tmp_path, {"a.csv": "new", "b.csv": "new"})
    assert [file.name for file in tmp_path.iterdir()] == ["b.csv"]
    assert (tmp_path / "b.csv").read_text() == "dear"


def test_a_write_that_fails_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="space"):
        write_private(tmp_path / "a.csv", "text")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_is_made_with_those_above_it(tmp_path: Path) -> None:
    write_folder(tmp_path / "one" / "two", {"a": "1", "b": "2"})
    assert sorted(file.name for file in (tmp_path / "one" / "two").iterdir()) == ["a", "b"]
