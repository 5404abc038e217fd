"""Import: a shot table's columns with samples, its questions, what its rows come to, and the result."""

from __future__ import annotations

from collections.abc import Sequence
from threading import Event
from typing import TYPE_CHECKING

from trainer.application.views.table import ImportView, QuestionView, TableStep
from trainer.tui.actions import Place
from trainer.tui.messages import Progressed, Refused
from trainer.tui.screens.tables import Part, TableScreen, column_lines
from trainer.tui.widgets.folding import cut, dashed, folded

if TYPE_CHECKING:
    from trainer.application.files.importing import Work
    from trainer.application.files.table_import import TableImport
    from trainer.application.practice import Practice

WHAT_ENTER_DOES = {
    TableStep.ASKING: "",
    TableStep.HELD: "Nothing is to be done: take that import back first if this file was mended.",
    TableStep.READY: "Enter reads its rows; nothing is kept before you have looked at them.",
    TableStep.LOOKED_AT: "Enter keeps the rows that are shots, all or none. t types the weather they were hit in.",
    TableStep.KEPT: "Esc goes back. u takes the whole import back.",
    TableStep.TAKEN_BACK: "Esc goes back.",
}

ANSWERED = (TableStep.ASKING, TableStep.READY, TableStep.LOOKED_AT)
"""Where going back asks the last question again."""


class ImportScreen(TableScreen[ImportView]):
    """One file. What is done with it is done in the store's thread, by `_table`, which belongs to that thread."""

    HINT = "the weather of all rows, such as 14mph 1h turf firm; empty: not known"

    def __init__(self, typed: str) -> None:
        super().__init__()
        self._typed = typed
        self._table: TableImport | None = None
        self._stop = Event()

    @property
    def own_place(self) -> Place:
        """Import."""
        return Place.IMPORT

    def question(self) -> None:
        """Open the file."""
        typed, now = self._typed, self.trainer.clock()

        def opened(practice: Practice) -> ImportView:
            from trainer.application.files.table_import import TableImport  # noqa: PLC0415 - heavy: in its thread

            self._table = TableImport(practice, typed, now)
            return self._table.view()

        self.do(opened)

    @property
    def table(self) -> TableImport:
        """The file as the store's thread holds it; for that thread."""
        assert self._table is not None
        return self._table

    def take(self, view: ImportView) -> None:
        """Go on by itself while nothing is to be asked."""
        if self.view is not None and view.step is not self.view.step:
            self.query_one("#pictures").scroll_home(animate=False)
            if view.step in (TableStep.KEPT, TableStep.TAKEN_BACK):
                self.trainer.day_changed()
        super().take(view)
        if view.said:
            self.say(view.said)
        if view.step is TableStep.READY and not view.said:
            self._read()

    def _work(self, what: str) -> Work:
        from trainer.application.files.importing import Work  # noqa: PLC0415 - heavy: loaded by now

        self._stop.clear()
        stop, desk = self._stop, self.trainer.desk

        def tell(done: int, rows: int) -> None:
            self.post_message(Progressed(what, done, rows))

        return Work(progress=tell, cancelled=lambda: stop.is_set() or desk.closing)

    def _read(self) -> None:
        work = self._work("Reading")
        self.do(lambda _: self.table.read(work))

    # Keys

    def answer(self, key: str, text: str) -> None:
        """Settle a question."""
        self.do(lambda _: self.table.answer(key, text))

    def ask(self, text: str) -> None:
        """The weather, or the word that a question wants."""
        if self.open_question is not None:
            super().ask(text)
        else:
            self.do(lambda _: self.table.state(text))

    def action_keep_rows(self) -> None:
        """Keep the rows, or read them again."""
        if self.view is None or self.waiting:
            return
        if self.view.step is TableStep.READY:
            self._read()
        elif self.view.step is TableStep.LOOKED_AT:
            work = self._work("Keeping")
            self.do(lambda _: self.table.keep(work))

    def action_ask_anew(self) -> None:
        """Ask every question of the columns again, as for a file of a new shape."""
        if self.view is not None and self.view.step in ANSWERED and not self.waiting:
            self.do(lambda _: self.table.ask_anew())

    def action_take_back(self) -> None:
        """Undo the whole import."""
        if self.view is not None and self.view.step is TableStep.KEPT and not self.waiting:
            now = self.trainer.clock()
            self.do(lambda _: self.table.take_back(now))

    def action_stop(self) -> None:
        """Call long work off."""
        self._stop.set()

    def action_back(self) -> None:
        """To the question before, at last out; work that runs is called off."""
        if self.typing:
            self.action_stop_asking()
            return
        if self.waiting and self.view is not None:
            self._stop.set()
            return
        if self.view is not None and self.view.answered and self.view.step in ANSWERED:
            self.do(lambda _: self.table.ask_again())
            return
        self.leave()

    def on_unmount(self) -> None:
        """Nothing runs on behind a screen that is gone."""
        self._stop.set()

    def on_refused(self, message: Refused) -> None:
        """Where the file cannot even be opened, that is all there is to see."""
        super().on_refused(message)
        if self.view is None:
            self.query_one("#look-head").display = False

    # What is shown

    def question_of(self, view: ImportView) -> QuestionView | None:
        """The open question, but for a file that was imported before."""
        return view.question if view.step is TableStep.ASKING else None

    def head_words(self, view: ImportView) -> str:
        """The file, what its rows come to, and what Enter does."""
        parts = (f"{view.name}: {view.step}", *view.counts, WHAT_ENTER_DOES[view.step])
        return "\n".join(line for part in parts if part for line in folded(part, self.window.width - 2))

    def page(self, view: ImportView, columns: int) -> Sequence[Part]:
        """First shots, refused rows, then the columns."""
        parts: list[Part] = []
        if view.shots:
            parts += [("The first of them\n", "bold"), *(f"  {cut(line, columns - 2)}\n" for line in view.shots)]
        if view.refused:
            parts += [("\nRefused\n", "bold"), *(f"{line}\n" for line in dashed(view.refused, columns))]
        if parts:
            parts.append("\n")
        parts += column_lines(view.columns, columns)
        weather = f"weather: {view.weather}" if view.weather else "wind not known"
        parts += [f"{line}\n" for line in dashed((*view.settled, weather), columns)]
        return parts

    def text_of(self, view: ImportView) -> str:
        """As `trainer import` prints it."""
        return view.text
