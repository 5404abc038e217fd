"""Every `trainer` command in the README is run as written, in order, on one store."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

from tests.cli.program import Program

README = Path(__file__).parents[2] / "README.md"
COMMAND = re.compile(r"^trainer( .+)?$")
TYPED = re.compile(r"<<'EOF'$")


def commands() -> list[tuple[list[str], str]]:
    """The commands of the README's blocks with what is typed into them."""
    found: list[tuple[list[str], str]] = []
    lines = iter(README.read_text(encoding="utf-8").splitlines())
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


def test_every_command_in_the_readme_does_what_it_says(tmp_path: Path) -> None:
    program = Program(tmp_path / "store.db")
    listed = commands()
    assert len(listed) >= 8
    for words, typed in listed:
        placed = [word.replace("my-data", str(tmp_path / "my-data")) for word in words]
        placed = [word.replace("evening.db", str(tmp_path / "evening.db")) for word in placed]
        result = program(*placed, typed=typed)
        assert result.code == 0, (words, result.out, result.err)


def test_the_readme_opens_with_the_job_in_one_paragraph() -> None:
    paragraphs = README.read_text(encoding="utf-8").split("\n\n")
    assert paragraphs[0].startswith("# ")
    assert "knockdown" in paragraphs[1]
    assert "\n#" not in paragraphs[1]
