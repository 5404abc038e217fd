"""A terminal may go away: its window is closed, its line drops. Nothing waits for it then, and the program ends.

Textual's own driver fails twice there. Its output thread dies at the first write that is refused, and whatever draws
after that waits for room in a queue that nobody empties, deaf to every signal; and its input thread reads the end of
the terminal over and over where no SIGHUP says that it went.
"""

from __future__ import annotations

import errno
import select
from io import TextIOWrapper
from typing import TYPE_CHECKING, TextIO, cast

from textual.drivers.linux_driver import LinuxDriver

if TYPE_CHECKING:
    from textual.app import App


class Outlet:
    """The way out to a terminal; what one that has gone refuses is dropped."""

    def __init__(self, file: TextIO) -> None:
        self._file = file
        self._gone = False

    def fileno(self) -> int:
        """The terminal's own."""
        return self._file.fileno()

    def write(self, text: str) -> int:
        """Write, as long as somebody is there to read."""
        if not self._gone:
            try:
                return self._file.write(text)
            except OSError:
                self._gone = True
        return len(text)

    def flush(self) -> None:
        """Hand over what was written, as long as somebody is there to read."""
        if not self._gone:
            try:
                self._file.flush()
            except OSError:
                self._gone = True


class PassingDriver(LinuxDriver):
    """Textual's driver for Linux and macOS, for a terminal that may go away."""

    def __init__(
        self,
        app: App[None],
        *,
        debug: bool = False,
        mouse: bool = True,
        size: tuple[int, int] | None = None,
    ) -> None:
        super().__init__(app, debug=debug, mouse=mouse, size=size)
        # The output thread asks for these three methods and no more.
        self._file = cast(TextIOWrapper, Outlet(cast(TextIO, self._file)))
        self._hangup: select.epoll | None = None

    def start_application_mode(self) -> None:
        """Begin, and watch for the terminal's end where the system can tell it apart from a key."""
        super().start_application_mode()  # type: ignore[no-untyped-call]  # Textual leaves its result out
        if hasattr(select, "epoll") and self._hangup is None:
            self._hangup = select.epoll()
            self._hangup.register(self.fileno, 0)  # a hang-up is told unasked
            self._loop.add_reader(self._hangup.fileno(), self._leave)

    def stop_application_mode(self) -> None:
        """End, and watch no more."""
        self._watch_no_more()
        super().stop_application_mode()

    def _leave(self) -> None:
        self._watch_no_more()
        self._app.exit()

    def _watch_no_more(self) -> None:
        if self._hangup is not None:
            self._loop.remove_reader(self._hangup.fileno())
            self._hangup.close()
            self._hangup = None

    def run_input_thread(self) -> None:
        """Read keys until told to stop, or until there is no terminal to read from."""
        try:
            super().run_input_thread()
        except OSError as problem:
            if problem.errno != errno.EIO:
                raise
            self._loop.call_soon_threadsafe(self._app.exit)
