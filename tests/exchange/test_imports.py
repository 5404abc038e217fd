from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.parametrize(
    ("modules", "absent"),
    [
        ("typed_line, cell_text, wind_text", ("numpy", "pydantic", "sqlite3", "csv")),
        ("shot_table, export_table, table_columns", ("numpy", "pydantic", "sqlite3")),
        ("profile_toml, column_toml", ("numpy", "sqlite3")),
    ],
)
def test_reading_needs_no_heavy_library(modules: str, absent: tuple[str, ...]) -> None:
    code = f"import sys; from trainer.exchange import {modules}; print(*sorted(set(sys.modules) & set({absent!r})))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []
