"""Giving a plan out: which one, to whom, until when, into which folder."""

from __future__ import annotations

from textual.app import ComposeResult

from trainer.application.views.squad import AssignSetup, ResultPage
from trainer.tui.actions import Place
from trainer.tui.messages import Looked, Told
from trainer.tui.screens.forms import FormScreen, labelled
from trainer.tui.screens.squad import ToldScreen, squad_desk
from trainer.tui.widgets.choice import Listing
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.words import Words


class Written(Told):
    """The folders were written, and what is said of them."""

    def __init__(self, page: ResultPage) -> None:
        super().__init__()
        self.page = page


class AssignScreen(FormScreen):
    """Three lines and the plans. Nothing is written before Enter."""

    def __init__(self, alias: str) -> None:
        super().__init__()
        self._alias = alias
        self.setup: AssignSetup | None = None

    @property
    def place(self) -> Place:
        """Giving a plan out."""
        return Place.ASSIGN

    def body(self) -> ComposeResult:
        """The lines, the plans, what is said."""
        yield Words("Give a plan out: each member gets a folder of his own", classes="strong")
        yield from labelled("To", Line(hint="aliases, parted by commas, or all", id="to"))
        yield from labelled("Due", Line(hint="such as 2026-05-21", id="due"))
        yield from labelled("Folder", Line(hint="where the folders go", id="folder"))
        yield Words("", id="assign-known", classes="quiet")
        yield Words("Plan", classes="label")
        yield Listing(id="assign-plans")
        yield Words("", id="plan-purpose", classes="quiet")
        yield Words("one moment …", id="said", classes="asked")

    def on_mount(self) -> None:
        """What may be assigned, and to whom."""
        self.query_one("#to", Line).put(self._alias)
        now = self.trainer.clock()
        self.trainer.desk.ask(self, lambda practice: Looked(0, squad_desk(practice).assigning(now)))

    def on_looked(self, message: Looked) -> None:
        """It is known what may be assigned."""
        message.stop()
        setup = message.view
        assert isinstance(setup, AssignSetup)
        self.setup = setup
        self.query_one("#due", Line).put(setup.due)
        self.query_one("#folder", Line).put(setup.folder)
        known = f"In the squad: {', '.join(setup.aliases)}"
        self.query_one("#assign-known", Words).show(known[: self.window.width * 2])
        listing = self.query_one(Listing)
        listing.offer([(plan.id, f"{plan.title}  ({plan.detail})") for plan in setup.plans])
        self.set_focus(listing)
        self._show_plan()

    def _show_plan(self) -> None:
        chosen = self.query_one(Listing).value
        plan = next((plan for plan in self.setup.plans if plan.id == chosen), None) if self.setup else None
        self.query_one("#plan-purpose", Words).show(plan.purpose if plan else "")
        self.say(f"Enter writes {plan.title} out." if plan else "")

    def on_listing_chosen(self) -> None:
        """Another plan is pointed at."""
        self._show_plan()

    def action_send(self) -> None:
        """Write it out, and show what was written."""
        plan_id = self.query_one(Listing).value
        if self.setup is None or plan_id is None:
            return
        to, due, folder = (self.query_one(where, Line).value for where in ("#to", "#due", "#folder"))
        now = self.trainer.clock()
        self.send(lambda practice: Written(squad_desk(practice).assign(plan_id, to, due, folder, now)))

    def on_written(self, message: Written) -> None:
        """It is on the disk."""
        message.stop()
        self.give_way_to(ToldScreen(message.page))
