"""What import and following have in common: the columns of a table, and its open questions answered by a key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from textual import events
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content

from trainer.application.views.table import ColumnRow, QuestionView
from trainer.tui.actions import Place
from trainer.tui.screens.work import WorkScreen
from trainer.tui.widgets.folding import folded
from trainer.tui.widgets.rows import Rows
from trainer.tui.widgets.words import Words

View = TypeVar("View")
Part = str | tuple[str, str]
_WHAT = 10
_WIDE, _NARROW, _WIDE_FROM = (20, 8, 16), (16, 5, 10), 72
"""Columns that a header, its unit and a cell take, where there is room for them and where there is little."""


class TableScreen(WorkScreen[View]):
    """A table whose questions are open at first. `index` is the answer that is pointed at."""

    def __init__(self) -> None:
        super().__init__()
        self.index = 0

    # What a screen says of itself

    def question_of(self, view: View) -> QuestionView | None:
        """The open question of a view."""
        raise NotImplementedError

    def answer(self, key: str, text: str) -> None:
        """Give an answer."""
        raise NotImplementedError

    def page(self, view: View, columns: int) -> Sequence[Part]:
        """What stands below the question, or in its place."""
        raise NotImplementedError

    # What they share

    @property
    def open_question(self) -> QuestionView | None:
        """The question that is to be answered now."""
        return None if self.view is None else self.question_of(self.view)

    @property
    def place(self) -> Place:
        """The line, a question, or the screen's own place."""
        if self.typing:
            return Place.ASKING
        asked = self.open_question
        return self.own_place if asked is None or not asked.choices else Place.ANSWER

    def picture(self) -> ComposeResult:
        """The question with its answers, and a page to scroll."""
        yield Words(id="asked-head", classes="strong")
        yield Rows(id="answers")
        with VerticalScroll(id="pictures", can_focus=False):
            yield Words(id="table-page", classes="plot")

    def take(self, view: View) -> None:
        """Show a view; a question that wants a word takes the line."""
        before = self.open_question
        super().take(view)
        asked = self.open_question
        if asked != before:
            self.index = 0
        if asked is not None and not asked.choices and not self.typing:
            self.line.put("")
            self.action_ask()
        self.refresh_foot()

    def draw(self, view: View) -> None:
        """Question, answers, page."""
        asked = self.question_of(view)
        columns = self.window.width - 3
        head, answers = self.query_one("#asked-head", Words), self.query_one("#answers", Rows)
        head.display = asked is not None
        answers.display = asked is not None and bool(asked.choices)
        if asked is not None:
            more = "" if asked.left == 1 else f"   ({asked.left} questions)"
            head.show("\n".join(folded(f"{asked.text[:1].upper()}{asked.text[1:]}{more}", columns)))
            answers.show(self._answers(asked, columns))
        self.query_one("#table-page", Words).show(Content.assemble(*self.page(view, columns)))

    def _answers(self, asked: QuestionView, columns: int) -> Content:
        parts: list[Part] = []
        first = self._first_answer(asked)
        for number, (choice, meaning) in enumerate(asked.choices[first : first + self._room], first):
            digit = f"{number + 1}" if number < 9 else " "
            line = f"{'▸' if number == self.index else ' '} {digit} {choice:14} {meaning}"[:columns]
            parts.append((f"{line}\n", "bold") if number == self.index else f"{line}\n")
        return Content.assemble(*parts).rstrip()

    @property
    def _room(self) -> int:
        return 9

    def _first_answer(self, asked: QuestionView) -> int:
        return min(max(self.index - self._room + 1, 0), max(len(asked.choices) - self._room, 0))

    # Answers

    def take_key(self, event: events.Key) -> bool:
        """A digit gives the answer that it stands before."""
        asked = self.open_question
        if self.place is Place.ANSWER and asked is not None and event.key in "123456789":
            if int(event.key) <= len(asked.choices):
                self._give(asked, int(event.key) - 1)
            return True
        return super().take_key(event)

    def _give(self, asked: QuestionView, index: int) -> None:
        if not self.waiting:
            self.answer(asked.key, asked.choices[index][0])

    def action_digit(self) -> None:
        """A click on the foot gives the answer that is pointed at."""
        self.action_choose()

    def action_choose(self) -> None:
        """Give the answer that is pointed at."""
        if (asked := self.open_question) is not None and asked.choices:
            self._give(asked, self.index)

    def on_rows_clicked(self, message: Rows.Clicked) -> None:
        """A click is the answer."""
        asked = self.open_question
        if asked is not None and asked.choices:
            at = self._first_answer(asked) + message.line
            if at < len(asked.choices):
                self._give(asked, at)

    def on_rows_turned(self, message: Rows.Turned) -> None:
        """Move with the wheel."""
        self.scroll_page(message.step)

    def scroll_page(self, rows: int) -> None:
        """From answer to answer while a question is open, else the page."""
        asked = self.open_question
        if self.place is Place.ANSWER and asked is not None and abs(rows) == 1:
            self.index = (self.index + rows) % len(asked.choices)
            self.redraw()
        else:
            super().scroll_page(rows)

    def ask(self, text: str) -> None:
        """A word that was typed: the answer to a question that has no choices."""
        asked = self.open_question
        if asked is not None and not asked.choices:
            self.answer(asked.key, text)


def column_lines(columns: Sequence[ColumnRow], width: int) -> list[Part]:
    """A line a column: what it is, its header, its unit, a cell of it, how sure that is."""
    if not columns:
        return []
    named, unit, sample = _WIDE if width >= _WIDE_FROM else _NARROW
    head = f"  {'is':{_WHAT}} {'column':{named}} {'unit':{unit}} {'such as':{sample}} how sure"
    lines: list[Part] = [(f"{head[:width]}\n", "bold")]
    for row in columns:
        unsure = row.unit == "?" or not row.sure.startswith("sure")
        cells = (
            f"{row.what:{_WHAT}.{_WHAT}}",
            f"{row.header:{named}.{named}}",
            f"{row.unit:{unit}.{unit}}",
            f"{row.sample:{sample}.{sample}}",
            row.sure,
        )
        lines.append(f"{'?' if unsure else ' '} {' '.join(cells)}".rstrip()[:width] + "\n")
    return lines
