"""Following a table that grows while a session runs: each new row beside the ball it is taken for, kept by a key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from trainer.application.views.table import FollowView, QuestionView
from trainer.tui.actions import Place
from trainer.tui.messages import Looked, SessionShown
from trainer.tui.screens.frame import Frame
from trainer.tui.screens.pick import PickScreen
from trainer.tui.screens.tables import Part, TableScreen, column_lines
from trainer.tui.widgets.folding import cut, dashed, folded

if TYPE_CHECKING:
    from trainer.application.files.table_follow import TableFollow
    from trainer.application.practice import Practice

EVERY_S = 1.0
"""Between two looks at the file."""

LOOK_AT_THE_WIND = "Six balls in this wind: Esc goes back, where one key answers for it."


class FollowScreen(TableScreen[FollowView]):
    """One file beside the session beneath. `_follow` belongs to the store's thread."""

    HINT = "the answer"

    def __init__(self, typed: str, session: Frame) -> None:
        super().__init__()
        self._typed, self._session = typed, session
        self._follow: TableFollow | None = None
        self._told = 0

    @property
    def own_place(self) -> Place:
        """Following."""
        return Place.FOLLOW

    def question(self) -> None:
        """Begin to follow, and look again and again."""
        typed, now = self._typed, self.trainer.clock()

        def begun(practice: Practice) -> FollowView:
            from trainer.application.files.table_follow import TableFollow  # noqa: PLC0415 - heavy: in its thread

            self._follow = TableFollow(practice, typed)
            return self._follow.look(now)

        self.do(begun)
        self.set_interval(EVERY_S, self._look)

    @property
    def follow(self) -> TableFollow:
        """The file as the store's thread follows it; for that thread."""
        assert self._follow is not None
        return self._follow

    def _look(self) -> None:
        """A look, unless a row or a question waits for an answer, or the last look is not over."""
        if self.view is None or self.waiting or self.view.row or self.view.question is not None:
            return
        now = self.trainer.clock()
        self.do(lambda _: self.follow.look(now), quietly=True)

    def on_looked(self, message: Looked) -> None:
        """An answer: what was kept shows on the session beneath."""
        super().on_looked(message)
        if self.view is not None and self.view.changed != self._told:
            self._told = self.view.changed
            self.trainer.desk.ask(
                self._session, lambda practice: SessionShown(practice.live.view(said="kept from the table"))
            )

    # Keys

    def _settle(self, *, keep: bool, as_ball: bool = False) -> None:
        if self.view is None or not self.view.row or self.waiting:
            return
        row, now = self.view.number or 0, self.trainer.clock()
        if keep:
            self.do(lambda _: self.follow.keep(row, now, as_ball=as_ball), quietly=True)
        else:
            self.do(lambda _: self.follow.leave(row, now), quietly=True)

    def action_keep_row(self) -> None:
        """Keep the row as it says."""
        self._settle(keep=True)

    def action_as_ball(self) -> None:
        """Keep it as the plan's ball."""
        self._settle(keep=True, as_ball=True)

    def action_leave_row(self) -> None:
        """Leave it out."""
        self._settle(keep=False)

    def action_unasked(self) -> None:
        """Ask about every row, or not; a look that is on its way is no reason to lose the key."""
        if self.view is not None:
            now = self.trainer.clock()
            self.do(lambda _: self.follow.change_asking(now), quietly=True)

    def action_ask(self) -> None:
        """Back into the line, where a question waits for a word."""
        if self.open_question is not None:
            super().action_ask()

    def action_other(self) -> None:
        """Follow another table."""
        self.give_way_to(FollowPickScreen(self._session))

    def answer(self, key: str, text: str) -> None:
        """Settle a question of the columns."""
        now = self.trainer.clock()
        self.do(lambda _: self.follow.answer(key, text, now))

    # What is shown

    def question_of(self, view: FollowView) -> QuestionView | None:
        """The open question of its columns."""
        return view.question

    def head_words(self, view: FollowView) -> str:
        """The file, the next ball, and what the keys do with the row that waits."""
        asked = "asked only in doubt" if view.unasked else "each row asked about"
        lines = [f"{view.name}: {view.kept} kept, {view.left} left out; {asked}", f"Next: {view.next_ball}"]
        if self._session.place is Place.WIND:
            lines.append(LOOK_AT_THE_WIND)
        return "\n".join(cut(line, self.window.width - 2) for line in lines)

    def page(self, view: FollowView, columns: int) -> Sequence[Part]:
        """The row that waits, then what became of the last ones, then the columns."""
        parts: list[Part] = []
        if view.row:
            what = f"is taken for {view.ball}" if view.ball else "is no ball of the plan"
            parts += [(f"{line}\n", "bold") for line in folded(view.row, columns)]
            parts += [f"  {line}\n" for line in folded(f"{what}: Enter keeps it, n leaves it out.", columns - 2)]
            if view.doubt:
                doubt = f"{view.doubt}. Enter keeps it as the row says, b as the ball of the plan."
                first, *others = folded(doubt, columns - 2)
                parts += [(f"? {first}\n", "bold"), *((f"  {line}\n", "bold") for line in others)]
            parts.append("\n")
        elif view.question is None:
            parts += ["Waiting for the next row …\n", "\n"]
        parts += [f"{line}\n" for line in dashed(view.log, columns)]
        if view.columns:
            parts += [
                "\n",
                *column_lines(view.columns, columns),
                *(f"{line}\n" for line in dashed(view.settled, columns)),
            ]
        return parts

    def text_of(self, view: FollowView) -> str:
        """The columns, the counts, and what became of the rows."""
        return view.text


class FollowPickScreen(PickScreen):
    """The way into following: the table first; going back leads to the session."""

    def __init__(self, session: Frame) -> None:
        super().__init__("Follow a table that grows while you play")
        self._session = session

    def picked(self, typed: str) -> None:
        """Follow it, in the place of the list."""
        self.trainer.followed = typed
        self.give_way_to(FollowScreen(typed, self._session))
