"""A command line with a person at the terminal, and what he had been told before each line he typed."""

from __future__ import annotations

import io
from collections.abc import Sequence

from tests.cli.program import Program, Result
from trainer.cli.main import Streams, run


class Shown(io.StringIO):
    """A stream that is a terminal's."""

    def isatty(self) -> bool:
        return True


class Typist(Shown):
    """Types lines; `told` holds what stood on standard error since the line before, first that before the first."""

    def __init__(self, lines: Sequence[str], out: Shown, err: Shown) -> None:
        super().__init__("".join(f"{line}\n" for line in lines))
        self.told: list[str] = []
        self.answered: list[str] = []
        self._streams = (out, err)
        self._seen = [0, 0]

    def readline(self, size: int | None = -1, /) -> str:  # type: ignore[override]  # its base is typed for bytes
        """The next line he types; the iterator asks for it too."""
        for i, kept in enumerate((self.answered, self.told)):
            whole = self._streams[i].getvalue()
            kept.append(whole[self._seen[i] :])
            self._seen[i] = len(whole)
        return super().readline(-1 if size is None else size)


def at_a_terminal(program: Program, words: Sequence[str], lines: Sequence[str]) -> tuple[Result, Typist]:
    """Run a command whose lines are typed at a terminal."""
    out, err = Shown(), Shown()
    typist = Typist(lines, out, err)
    environ = {"TRAINER_STORE": str(program.store), "TERM": "xterm-256color", **program.environ}
    code = run(list(words), Streams(typist, out, err), environ, lambda: program.now)
    return Result(code, out.getvalue(), err.getvalue()), typist
