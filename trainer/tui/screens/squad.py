"""Squad: who owes what and until when, by alias; nobody is ranked. Plans go out and results come in by file."""

from __future__ import annotations

from collections.abc import Callable
from threading import Event
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from trainer.application.views.squad import MemberRow, ResultPage, SquadPage
from trainer.tui.actions import Place
from trainer.tui.messages import Progressed
from trainer.tui.screens.pick import PickScreen
from trainer.tui.screens.work import WorkScreen
from trainer.tui.widgets.folding import cut, dashed, set_in
from trainer.tui.widgets.rows import Rows
from trainer.tui.widgets.words import Words

if TYPE_CHECKING:
    from trainer.application.practice import Practice
    from trainer.application.squad.desk import SquadDesk

EMPTY = (
    "The squad is empty. n adds a member by alias and age band, a junior with the day of consent:\n\n"
    "  kestrel 14-15 consent 2026-05-01\n\n"
    "The trainer knows no names and no birth dates. Keep the list of which alias is which child on paper or in a "
    "file of your own, outside this program."
)

CORRECTIONS = "t collects again and takes what was put right since; what stands here before is kept."


def squad_desk(practice: Practice) -> SquadDesk:
    """The squad's part of the store, for the store's thread."""
    from trainer.application.squad.desk import SquadDesk  # noqa: PLC0415 - heavy: in its thread

    return SquadDesk(practice)


class SquadScreen(WorkScreen[SquadPage]):
    """The members in the order of their aliases, one pointed at; below, his assignments and his own past."""

    HINT = "a member, such as kestrel 14-15 consent 2026-05-01 keep 2027-05-01"

    def __init__(self) -> None:
        super().__init__()
        self.chosen = ""
        self._first = 0

    @property
    def own_place(self) -> Place:
        """Squad."""
        return Place.SQUAD

    def picture(self) -> ComposeResult:
        """The list, and what is known of the one pointed at."""
        yield Rows(id="members", classes="table")
        yield Words(id="member-detail")

    def question(self) -> None:
        """Everybody."""
        now = self.trainer.clock()
        self.do(lambda practice: squad_desk(practice).page(now))

    def on_screen_resume(self) -> None:
        """Something may have been decided or collected meanwhile."""
        if self.view is not None:
            self.question()

    def take(self, view: SquadPage) -> None:
        """Show the squad; who was pointed at still is."""
        super().take(view)
        if view.said:
            self.say(view.said)

    def ask(self, text: str) -> None:
        """Add a member, or change one."""
        now = self.trainer.clock()
        self.do(lambda practice: squad_desk(practice).add(text, now))

    # What is shown

    @property
    def index(self) -> int:
        """Where the one pointed at stands."""
        aliases = [row.alias for row in self.view.rows] if self.view is not None else []
        return aliases.index(self.chosen) if self.chosen in aliases else 0

    @property
    def row(self) -> MemberRow | None:
        """The one pointed at."""
        return self.view.rows[self.index] if self.view is not None and self.view.rows else None

    def head_words(self, view: SquadPage) -> str:
        """Counts of what is overdue and what waits; nobody is ranked."""
        return "\n".join((view.head, *view.own))

    def draw(self, view: SquadPage) -> None:
        """The list around the one pointed at, and his lines."""
        columns = self.window.width - 2
        rows, detail = self.query_one("#members", Rows), self.query_one("#member-detail", Words)
        if not view.rows:
            rows.show("\n".join(_folded(EMPTY, columns)))
            detail.show("")
            return
        height = max(rows.size.height, 1)
        self._first = min(max(self.index - height + 1, 0), max(len(view.rows) - height, 0))
        lines = [
            cut(f"{'▸' if number == self.index else ' '} {_row_words(row)}", columns)
            for number, row in enumerate(view.rows)
        ]
        rows.show("\n".join(lines[self._first : self._first + height]))
        row = view.rows[self.index]
        said = [row.record, *(each.words for each in row.assignments[-4:]), row.practice]
        detail.show("\n".join(dashed((*said, *view.notes), columns)))

    def text_of(self, view: SquadPage) -> str:
        """As `trainer squad show` prints it."""
        return view.text

    # Keys

    def scroll_page(self, rows: int) -> None:
        """From member to member."""
        if self.view is None or not self.view.rows:
            return
        self.chosen = self.view.rows[min(max(self.index + rows, 0), len(self.view.rows) - 1)].alias
        self.redraw()

    def on_rows_clicked(self, message: Rows.Clicked) -> None:
        """Point at a member with the mouse; once more opens him."""
        at = self._first + message.line
        if self.view is None or at >= len(self.view.rows):
            return
        if at == self.index:
            self.action_open()
        else:
            self.chosen = self.view.rows[at].alias
            self.redraw()

    def on_rows_turned(self, message: Rows.Turned) -> None:
        """Move with the wheel."""
        self.scroll_page(message.step)

    def action_open(self) -> None:
        """One member closely."""
        from trainer.tui.screens.squad_member import MemberScreen  # noqa: PLC0415 - opened from here only

        if self.row is not None:
            self.go_to(MemberScreen(self.row.alias))

    def action_assign(self) -> None:
        """Write a plan out, to the one pointed at unless others are named."""
        from trainer.tui.screens.squad_assign import AssignScreen  # noqa: PLC0415 - as above

        if self.row is not None:
            self.go_to(AssignScreen(self.row.alias))

    def action_collect(self) -> None:
        """Pick a folder, and read its result files in."""
        self.go_to(CollectPickScreen())


def _row_words(row: MemberRow) -> str:
    """Alias, age band, and the assignment that presses, else the newest."""
    pressing = [each for each in row.assignments if each.urgent] or row.assignments[-1:]
    said = pressing[0].short if pressing else "nothing assigned"
    more = f" (and {len(row.assignments) - 1} more)" if len(row.assignments) > 1 else ""
    return f"{row.alias:16.16} {row.band:8} {said}{more}"


def _folded(text: str, columns: int) -> list[str]:
    """`text` with its long lines folded, as far in as they began."""
    return [line for each in text.split("\n") for line in set_in(each, columns)]


class ResultScreen(WorkScreen[ResultPage]):
    """What came of files, in lines."""

    def job(self) -> Callable[[Practice], ResultPage]:
        """What is to be done."""
        raise NotImplementedError

    @property
    def own_place(self) -> Place:
        """What came of it."""
        return Place.RESULT

    def picture(self) -> ComposeResult:
        """A page to scroll."""
        with VerticalScroll(id="pictures", can_focus=False):
            yield Words(id="result")

    def question(self) -> None:
        """Have it done."""
        self.do(self.job())

    def head_words(self, view: ResultPage) -> str:
        """What was done."""
        return view.title

    def draw(self, view: ResultPage) -> None:
        """What came of it, and what could not be taken."""
        columns = self.window.width - 3
        lines = [line for each in view.lines for line in _folded(each, columns)]
        told = ["", "Not taken:", *dashed(view.warnings, columns), "", CORRECTIONS] if view.warnings else []
        self.query_one("#result", Words).show("\n".join([*lines, *told]))

    def text_of(self, view: ResultPage) -> str:
        """As the command prints it."""
        return view.text

    def action_corrections(self) -> None:
        """Nothing here was put right since."""

    def action_stop(self) -> None:
        """Nothing here takes long."""


class ToldScreen(ResultScreen):
    """What was done already."""

    def __init__(self, page: ResultPage) -> None:
        super().__init__()
        self._page = page

    def job(self) -> Callable[[Practice], ResultPage]:
        """Nothing is left to do."""
        page = self._page
        return lambda _: page


class CollectScreen(ResultScreen):
    """Collecting a folder: file by file, called off between two."""

    def __init__(self, typed: str) -> None:
        super().__init__()
        self._stop = Event()
        self._typed = typed

    def job(self) -> Callable[[Practice], ResultPage]:
        """Collect at once."""
        return self._collect(corrections=False)

    def _collect(self, *, corrections: bool) -> Callable[[Practice], ResultPage]:
        typed, stop, desk = self._typed, self._stop, self.trainer.desk

        def tell(done: int, files: int) -> None:
            self.post_message(Progressed("Collecting", done, files))

        def collected(practice: Practice) -> ResultPage:
            return squad_desk(practice).collect(
                typed,
                corrections=corrections,
                progress=tell,
                cancelled=lambda: stop.is_set() or desk.closing,
            )

        return collected

    def action_corrections(self) -> None:
        """Again, with what was put right since."""
        if self.view is not None and not self.waiting:
            self._stop.clear()
            self.do(self._collect(corrections=True))

    def take(self, view: ResultPage) -> None:
        """Show what came; the day shows it too."""
        super().take(view)
        if self.trainer.has_player:
            self.trainer.day_changed()

    def action_stop(self) -> None:
        """Call it off: what was taken stays."""
        self._stop.set()

    def action_back(self) -> None:
        """Out; what is on its way is called off first."""
        if self.waiting:
            self._stop.set()
            return
        super().action_back()


class CollectPickScreen(PickScreen):
    """The way into collecting: the folder first; going back leads to the squad."""

    def __init__(self) -> None:
        super().__init__("Collect result files: in which folder?", folders_only=True)

    def picked(self, typed: str) -> None:
        """Collect it, in the place of the list."""
        self.give_way_to(CollectScreen(typed))
