"""The threads behind the screens: one owns the store, one does the sums. They only post messages.

Everything heavy (numpy, pydantic, the store) is imported by the first thread after the first paint.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from textual.message import Message
from textual.message_pump import MessagePump

from trainer.application.views import FiguresView, harmless
from trainer.core.errors import StoreError, TrainerError
from trainer.tui.messages import Broken, FiguresShown, Refused, SessionShown

if TYPE_CHECKING:
    from trainer.application.live_figures import FiguresWish, LiveFigures
    from trainer.application.practice import Practice

Job = Callable[["Practice"], Message]
Prepare = Callable[[Path], None]


def _tell_defect(sender: MessagePump, future: Future[None]) -> None:
    """A job that fell over is a defect: it must not die unseen in its thread."""
    error = None if future.cancelled() else future.exception()
    if error is not None:
        sender.post_message(Broken(error))


class Desk:
    """Takes jobs for the store in turn. `prepare` makes the store ready before the first of them."""

    def __init__(
        self, path: Path, alias: str | None, clock: Callable[[], datetime], prepare: Prepare | None = None
    ) -> None:
        self._path, self._alias, self._clock, self._prepare = path, alias, clock, prepare
        self._practice: Practice | None = None
        self._keeper = ThreadPoolExecutor(1, thread_name_prefix="store")
        self._sums = ThreadPoolExecutor(1, thread_name_prefix="sums")
        self._newest = 0
        self._figures: LiveFigures | None = None

    def ask(self, sender: MessagePump, job: Job) -> Future[None]:
        """Do `job` in the store's thread; its message, or `Refused`, is posted to `sender` when all is kept."""
        future = self._keeper.submit(self._do, sender, job)
        future.add_done_callback(partial(_tell_defect, sender))
        return future

    def _do(self, sender: MessagePump, job: Job) -> None:
        try:
            message = job(self._ready())
        except TrainerError as problem:
            sender.post_message(Refused(problem))
            return
        except OSError as problem:
            what, where = problem.strerror or str(problem), str(problem.filename or "the store")
            sender.post_message(Refused(StoreError(what, where, "check the disk and its rights")))
            return
        sender.post_message(message)
        if isinstance(message, SessionShown):
            self._wish_figures(sender, message.view.version)

    def _ready(self) -> Practice:
        if self._practice is None:
            from trainer.application.practice import Practice  # noqa: PLC0415 - heavy: only after the first paint

            if self._prepare is not None:
                self._prepare(self._path)
            self._practice = Practice(self._path, self._alias)
        return self._practice

    def _wish_figures(self, sender: MessagePump, version: int) -> None:
        """Ask the other thread for the figures after a change."""
        wish = self._ready().figures_wish(version, self._clock())
        if wish is not None:
            self._newest = version
            future = self._sums.submit(self._work_out, sender, wish)
            future.add_done_callback(partial(_tell_defect, sender))

    def _work_out(self, sender: MessagePump, wish: FiguresWish) -> None:
        """Figures at once, and again from fresh draws where nothing newer waits."""
        if wish.version < self._newest:
            return
        if self._figures is None:
            from trainer.application.live_figures import LiveFigures  # noqa: PLC0415 - as above

            self._figures = LiveFigures()
        try:
            view = self._figures.work_out(wish)
            if self._practice is not None:
                self._practice.called = view.called
            sender.post_message(FiguresShown(view))
            settled = self._figures.settle(wish, lambda: wish.version < self._newest)
        except TrainerError as problem:
            # The shot is kept all the same: only its figures are missing, and the reason stands in their place.
            settled = FiguresView(wish.version, wish.session_id, "", None, harmless(str(problem)))
        if settled is not None:
            sender.post_message(FiguresShown(settled))

    def close(self) -> None:
        """Wait for what is being kept, let go of the store, and end both threads."""
        self._keeper.submit(self._let_go)
        self._keeper.shutdown(wait=True)
        self._sums.shutdown(wait=True, cancel_futures=True)

    def _let_go(self) -> None:
        if self._practice is not None:
            self._practice.close()
