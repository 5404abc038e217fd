"""The threads behind the screens: one owns the store, one does the sums. They only post messages.

Everything heavy (numpy, pydantic, the store) is imported by the first thread after the first paint.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from datetime import datetime
from functools import partial
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from textual.message import Message
from textual.message_pump import MessagePump

from trainer.application.views.practice import FiguresView, harmless
from trainer.core.errors import StoreError, TrainerError
from trainer.tui.messages import (
    BallCalled,
    Broken,
    FiguresShown,
    Refused,
    RestFailed,
    RestShown,
    SessionShown,
    TodayShown,
)

if TYPE_CHECKING:
    from trainer.application.looking import Held, Looking, Shelf
    from trainer.application.practice import Practice
    from trainer.application.session.live_figures import FiguresWish, LiveFigures
    from trainer.application.session.replanning import RestWish

Job = Callable[["Practice"], "Message | None"]
"""Something to do with the store; None where there is nothing to tell."""

Question = Callable[["Looking", "Held"], Message]
"""Something to work out from what the store holds."""

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
        self._closing = False
        self._closing_lock = Lock()
        self._figures: LiveFigures | None = None
        self._shelf: Shelf | None = None
        self._looking: Looking | None = None

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
        if message is None:
            return
        sender.post_message(message)
        if isinstance(message, SessionShown | RestShown):
            self._wish_figures(sender, message.view.version)
            self._wish_rest(sender, message.view.version)
        elif isinstance(message, TodayShown) and message.view is not None:
            # The player whose day is shown stays himself when others come into the store.
            self._be(message.view.profile.alias)
            self._look_ahead(sender)

    def look(
        self, sender: MessagePump, question: Question, *, whole: bool = False, in_a_round: bool = False
    ) -> Future[None]:
        """Read what the store holds in its thread, and answer `question` in the other; `Refused` where it cannot be.

        `whole` reads agendas, own calls and the course log too; `in_a_round` is for what a round may show.
        """

        def read(_: Practice) -> None:
            held = self._held(whole=whole, in_a_round=in_a_round)
            self._sum(sender, partial(self._answer, sender, question, held))

        return self.ask(sender, read)

    def _held(self, *, whole: bool = False, in_a_round: bool = False) -> Held:
        if self._shelf is None:
            from trainer.application.looking import Shelf  # noqa: PLC0415 - heavy: only after the first paint

            self._shelf = Shelf(self._path, self._alias)
        return self._shelf.take(self._clock(), whole=whole, in_a_round=in_a_round)

    def _looks(self) -> Looking:
        if self._looking is None:
            from trainer.application.looking import Looking  # noqa: PLC0415 - as above

            self._looking = Looking()
        return self._looking

    def _answer(self, sender: MessagePump, question: Question, held: Held) -> None:
        try:
            message = question(self._looks(), held)
        except TrainerError as problem:
            message = Refused(problem)
        sender.post_message(message)

    def _look_ahead(self, sender: MessagePump) -> None:
        """While the player looks at the day, what the table will need is read and flown.

        It only saves time: what goes wrong is said when it is asked for.
        """

        def prepare() -> None:
            with suppress(TrainerError):
                self._looks().prepare(held)

        with suppress(TrainerError, OSError):
            held = self._held(in_a_round=True)
            self._sum(sender, prepare)

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
            self._sum(sender, partial(self._work_out, sender, wish))

    def _wish_rest(self, sender: MessagePump, version: int) -> None:
        """Ask the other thread to plan the rest of the session anew where that is due."""
        wish = self._ready().rest_wish(self._clock())
        if wish is not None:
            self._sum(sender, partial(self._plan_rest, sender, version, wish))

    def _sum(self, sender: MessagePump, sums: Callable[[], None]) -> None:
        with self._closing_lock:
            if not self._closing:
                self._sums.submit(sums).add_done_callback(partial(_tell_defect, sender))

    def _plan_rest(self, sender: MessagePump, version: int, wish: RestWish) -> None:
        """Plan the rest anew, unless a newer change waits: that asks for the same, with more known."""
        from trainer.application.session.replanning import plan_rest  # noqa: PLC0415 - as above

        if version < self._newest:
            return
        try:
            rest = plan_rest(wish)
        except TrainerError as problem:
            sender.post_message(RestFailed(harmless(str(problem))))
            return

        def keep(practice: Practice) -> Message | None:
            view = practice.keep_rest(rest)
            return None if view is None else RestShown(view)

        self.ask(sender, keep)

    def _keep_call(self, sender: MessagePump, view: FiguresView) -> None:
        """Have the call kept with its ball before it is shown."""
        if (call := view.called) is None:
            return

        def keep(practice: Practice) -> Message | None:
            kept = practice.keep_call(view.session_id, view.version, call)
            return None if kept is None else BallCalled(*kept)

        self.ask(sender, keep)

    def _work_out(self, sender: MessagePump, wish: FiguresWish) -> None:
        """Figures at once, and again from fresh draws where nothing newer waits."""
        if wish.version < self._newest:
            return
        if self._figures is None:
            from trainer.application.session.live_figures import LiveFigures  # noqa: PLC0415 - as above

            self._figures = LiveFigures()
        try:
            view = self._figures.work_out(wish)
            sender.post_message(FiguresShown(view))
            self._keep_call(sender, view)
            settled = self._figures.settle(wish, lambda: wish.version < self._newest)
        except TrainerError as problem:
            # The shot is kept all the same: only its figures are missing, and the reason stands in their place.
            settled = FiguresView(wish.version, wish.session_id, "", None, harmless(str(problem)))
        if settled is not None:
            sender.post_message(FiguresShown(settled))
            self._keep_call(sender, settled)

    def be(self, alias: str) -> None:
        """Be this player from now on."""

        self._keeper.submit(self._be, alias)

    def _be(self, alias: str) -> None:
        if self._alias != alias:
            self._ready().alias = self._alias = alias
            self._shelf = None

    @property
    def closing(self) -> bool:
        """Whether the program is being left: long work that may be called off is."""
        return self._closing

    def work(self, sender: MessagePump, job: Callable[[], Message]) -> None:
        """Do `job`, which needs no store, in the sums' thread; its message, or `Refused`, is posted to `sender`."""

        def do() -> None:
            try:
                message = job()
            except TrainerError as problem:
                message = Refused(problem)
            sender.post_message(message)

        self._sum(sender, do)

    def close(self) -> None:
        """Wait for what is being kept, let go of the store, and end both threads."""
        with self._closing_lock:
            self._closing = True
        # The sums end first: what they still hand over is kept too.
        self._sums.shutdown(wait=True, cancel_futures=True)
        self._keeper.submit(self._let_go)
        self._keeper.shutdown(wait=True)

    def _let_go(self) -> None:
        if self._practice is not None:
            self._practice.close()
