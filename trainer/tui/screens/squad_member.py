"""One member of a squad: his assignments, his own past like for like, the coach's notes; accept, return, note."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content

from trainer.application.views.squad import AssignmentRow, MemberPage
from trainer.tui.actions import Place
from trainer.tui.screens.squad import squad_desk
from trainer.tui.screens.work import WorkScreen
from trainer.tui.widgets.folding import cut, dashed, refolded
from trainer.tui.widgets.rows import Rows
from trainer.tui.widgets.words import Words

NO_ASSIGNMENT = "Nothing is assigned to him."
LIKE_FOR_LIKE = "Like for like, later against earlier days"


class MemberScreen(WorkScreen[MemberPage]):
    """His assignments, one pointed at, above a page of what he did."""

    HINT = "a note on him; it stays in this store"

    def __init__(self, alias: str) -> None:
        super().__init__()
        self.alias = alias
        self.plan_id = ""
        self._asked_to_accept = ""

    @property
    def own_place(self) -> Place:
        """One member."""
        return Place.MEMBER

    def picture(self) -> ComposeResult:
        """The assignments, and a page to scroll."""
        yield Rows(id="assignments", classes="table")
        with VerticalScroll(id="pictures", can_focus=False):
            yield Words(id="member-page")

    def question(self) -> None:
        """Him closely."""
        alias, now = self.alias, self.trainer.clock()
        self.do(lambda practice: squad_desk(practice).member(alias, now))

    def on_screen_resume(self) -> None:
        """Something may have been assigned meanwhile."""
        if self.view is not None:
            self.question()

    def take(self, view: MemberPage) -> None:
        """Show him; the assignment that was pointed at still is, at first the one that waits."""
        if not self.plan_id:
            waiting = [each.plan_id for each in view.row.assignments if each.urgent]
            newest = [each.plan_id for each in view.row.assignments][-1:]
            self.plan_id = next(iter([*waiting, *newest]), "")
        super().take(view)
        if view.said:
            self.say(view.said)

    def ask(self, text: str) -> None:
        """Keep a note."""
        alias, now = self.alias, self.trainer.clock()
        self.send(text, lambda practice: squad_desk(practice).note(alias, text, now))

    # What is shown

    @property
    def index(self) -> int:
        """Where the assignment that is pointed at stands."""
        ids = [each.plan_id for each in self.view.row.assignments] if self.view is not None else []
        return ids.index(self.plan_id) if self.plan_id in ids else 0

    @property
    def assignment(self) -> AssignmentRow | None:
        """The assignment that is pointed at."""
        return self.view.row.assignments[self.index] if self.view is not None and self.view.row.assignments else None

    def head_words(self, view: MemberPage) -> str:
        """His record, and how he stands beside his own past."""
        return f"{view.row.record}\n{view.row.practice}"

    def draw(self, view: MemberPage) -> None:
        """Assignments, groups of like balls, notes, progress."""
        columns = self.window.width - 3
        first = self._first
        width = max((len(each.short) for each in view.row.assignments), default=0)
        lines = [
            cut(f"{'▸' if number == self.index else ' '} {each.short:{width}}  {each.plan_id}", columns)
            for number, each in enumerate(view.row.assignments)
        ]
        self.query_one("#assignments", Rows).show("\n".join(lines[first : first + self._room]) or NO_ASSIGNMENT)
        parts: list[str | tuple[str, str]] = []
        if view.past:
            parts += [(f"{LIKE_FOR_LIKE}\n", "bold"), *(f"{line}\n" for line in dashed(view.past, columns)), "\n"]
        if view.notes:
            parts += [("Your notes; they stay in this store\n", "bold")]
            parts += [*(f"{line}\n" for line in dashed(view.notes, columns)), "\n"]
        if view.progress:
            parts.append(refolded(view.progress, columns))
        self.query_one("#member-page", Words).show(Content.assemble(*parts))

    @property
    def _room(self) -> int:
        return 3 if self.is_compact else 5

    @property
    def _first(self) -> int:
        return max(self.index - self._room + 1, 0)

    def text_of(self, view: MemberPage) -> str:
        """As `trainer squad show ALIAS` prints it."""
        return view.text

    # Keys

    def action_next_assignment(self) -> None:
        """The next assignment."""
        self._point(self.index + 1)

    def action_last_assignment(self) -> None:
        """The assignment before."""
        self._point(self.index - 1)

    def _point(self, index: int) -> None:
        if self.view is not None and self.view.row.assignments:
            last = len(self.view.row.assignments) - 1
            self.plan_id = self.view.row.assignments[min(max(index, 0), last)].plan_id
            self._asked_to_accept = ""
            self.redraw()

    def on_rows_clicked(self, message: Rows.Clicked) -> None:
        """Point at an assignment with the mouse."""
        self._point(self._first + message.line)

    def on_rows_turned(self, message: Rows.Turned) -> None:
        """Move with the wheel."""
        self._point(self.index + message.step)

    def action_accept(self) -> None:
        """Accept what was submitted: at the second asking, for it cannot be taken back."""
        chosen = self.assignment
        if chosen is None or self.waiting:
            return
        if self._asked_to_accept != chosen.plan_id and chosen.open:
            self._asked_to_accept = chosen.plan_id
            self.say(f"a again accepts {chosen.plan_id}: that is for good, what is sent later is an assignment anew")
            return
        self._decide(chosen, accept=True)

    def action_give_back(self) -> None:
        """Give it back, to be done again."""
        if self.assignment is not None and not self.waiting:
            self._decide(self.assignment, accept=False)

    def _decide(self, chosen: AssignmentRow, *, accept: bool) -> None:
        alias, plan_id, now = self.alias, chosen.plan_id, self.trainer.clock()
        self._asked_to_accept = ""
        self.do(lambda practice: squad_desk(practice).decide(alias, plan_id, accept=accept, now=now))

    def action_assign(self) -> None:
        """Write a plan out to him."""
        from trainer.tui.screens.squad_assign import AssignScreen  # noqa: PLC0415 - opened from here only

        self.go_to(AssignScreen(self.alias))
