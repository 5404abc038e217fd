"""Every `trainer` command of the pages for readers is run as written, in order, on one store a page."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from tests.cli.program import Program

ROOT = Path(__file__).parents[2]
PAGES = (ROOT / "README.md", ROOT / "plans" / "README.md")
COMMAND = re.compile(r"^trainer( .+)?$")
TYPED = re.compile(r"<<'EOF'$")
PYTHON = re.compile(r"^```python\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def commands(page: Path) -> list[tuple[list[str], str]]:
    """The commands of a page's blocks with what is typed into them."""
    found: list[tuple[list[str], str]] = []
    lines = iter(page.read_text(encoding="utf-8").splitlines())
    for line in lines:
        if not COMMAND.match(line):
            continue
        typed = ""
        if TYPED.search(line):
            for more in lines:
                if more == "EOF":
                    break
                typed += more + "\n"
        found.append((shlex.split(TYPED.sub("", line), comments=True)[1:], typed))
    return found


@pytest.mark.parametrize("page", PAGES, ids=["README", "plans"])
def test_every_command_does_what_the_page_says(page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    program = Program(tmp_path / "data" / "store.db")
    listed = commands(page)
    assert len(listed) >= 7
    for words, typed in listed:
        result = program(*words, typed=typed)
        assert result.code == 0, (words, result.out, result.err)


def test_the_python_of_the_readme_runs(capsys: pytest.CaptureFixture[str]) -> None:
    blocks = PYTHON.findall(PAGES[0].read_text(encoding="utf-8"))
    assert blocks
    for block in blocks:
        exec(compile(block, "README.md", "exec"), {})  # our own page, run as a reader would
    assert "Interval" in capsys.readouterr().out


def test_the_readme_opens_with_the_job_in_one_paragraph() -> None:
    paragraphs = PAGES[0].read_text(encoding="utf-8").split("\n\n")
    assert paragraphs[0].startswith("# ")
    assert "knockdown" in paragraphs[1]
    assert "\n#" not in paragraphs[1]
