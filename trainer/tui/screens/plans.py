"""Plans: what each is for, its balls in today's wind with their reasons, and what was swapped and why."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content

from trainer.application.views.look import PlanBallsView, PlansView
from trainer.application.views.practice import PlanRow
from trainer.tui.actions import Place
from trainer.tui.screens.look import LookScreen, WindScreen
from trainer.tui.widgets.choice import Listing
from trainer.tui.widgets.folding import dashed, set_in
from trainer.tui.widgets.words import Words


class PlansScreen(LookScreen[PlansView]):
    """The plans, one of them pointed at."""

    @property
    def own_place(self) -> Place:
        """Plans."""
        return Place.PLANS

    def picture(self) -> ComposeResult:
        """The list, and what the plan that is pointed at is for."""
        yield Listing(id="plans-list")
        yield Words(id="plan-purpose", classes="quiet")

    def ask(self, text: str) -> None:
        """There is one question."""
        self.look(lambda looking, held: looking.plans(held), in_a_round=True)

    def take(self, view: PlansView) -> None:
        """Offer them; the one that was pointed at still is."""
        listing = self.query_one(Listing)
        before = listing.value
        listing.offer([(plan.id, f"{plan.title}  ({plan.detail})") for plan in view.rows])
        if before is not None:
            listing.point_at(before)
        self.set_focus(listing)
        super().take(view)
        self.say("\n".join(view.problems), wrong=bool(view.problems))

    def head_words(self, view: PlansView) -> str:
        """How many, and what is due."""
        return " · ".join(part for part in (f"{len(view.rows)} plans", view.due) if part)

    @property
    def plan(self) -> PlanRow | None:
        """The one that is pointed at."""
        value = self.query_one(Listing).value
        return None if self.view is None else next((plan for plan in self.view.rows if plan.id == value), None)

    def draw(self, view: PlansView) -> None:
        """What the plan is for."""
        self.query_one("#plan-purpose", Words).show(self.plan.purpose if self.plan is not None else "")

    def lines_of(self, view: PlansView) -> str:
        """Every plan in a line."""
        return "\n".join(f"{plan.title}, {plan.detail}. {plan.purpose}" for plan in view.rows)

    def text_of(self, view: PlansView) -> str:
        """As `trainer plan list` prints it."""
        return view.text

    def on_listing_chosen(self) -> None:
        """Another plan is pointed at."""
        self.redraw()

    def action_down(self) -> None:
        """The next plan."""
        self.query_one(Listing).move(1)

    def action_up(self) -> None:
        """The plan before."""
        self.query_one(Listing).move(-1)

    def action_open(self) -> None:
        """The balls of the plan."""
        if self.plan is not None:
            self.go_to(PlanScreen(self.plan))

    def action_make(self) -> None:
        """A plan of the player's own, in a form."""
        from trainer.tui.screens.plan_form import PlanFormScreen  # noqa: PLC0415 - opened from here only

        self.go_to(PlanFormScreen(None))

    def action_change(self) -> None:
        """The plan that is pointed at, in a form."""
        from trainer.tui.screens.plan_form import PlanFormScreen  # noqa: PLC0415 - as above

        if self.plan is not None:
            self.go_to(PlanFormScreen(self.plan.id))


class PlanScreen(WindScreen[PlanBallsView]):
    """One plan's balls in a wind."""

    def __init__(self, plan: PlanRow) -> None:
        super().__init__()
        self.plan = plan

    @property
    def own_place(self) -> Place:
        """One plan."""
        return Place.PLAN

    def picture(self) -> ComposeResult:
        """A page to scroll."""
        with VerticalScroll(id="pictures", can_focus=False):
            yield Words(id="balls")

    def ask_in(self, wind: str) -> None:
        """The balls in a wind."""
        plan_id = self.plan.id
        self.look(lambda looking, held: looking.plan_balls(held, plan_id, wind))

    def head_words(self, view: PlanBallsView) -> str:
        """The plan and the wind."""
        return f"{view.title}\n{view.head}"

    def draw(self, view: PlanBallsView) -> None:
        """Swaps, what is to be minded, and the balls."""
        columns = self.window.width - 3
        parts: list[str | tuple[str, str]] = [f"{self.plan.purpose}\n"]
        parts += [(f"Swapped: {swap}\n", "bold $warning") for swap in view.swaps]
        parts += [f"{line}\n" for each in view.balls for line in set_in(each, columns)]
        parts.append(("\nMind\n", "bold"))
        parts += [f"{line}\n" for line in dashed(view.notes, columns)]
        self.query_one("#balls", Words).show(Content.assemble(*parts))

    def lines_of(self, view: PlanBallsView) -> str:
        """The agenda is lines."""
        return view.text

    def text_of(self, view: PlanBallsView) -> str:
        """As `trainer agenda` prints it."""
        return view.text

    def action_begin(self) -> None:
        """Begin a session with it, as the day would."""
        if self.view is not None:
            self.trainer.begin_plan(self.plan.id, self.view.wind_typed)
