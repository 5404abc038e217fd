"""The day before the first ball: the wind as a picture, the air, the ball, the plan, and one key to start."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Input

from trainer.application.conditions.stated import StatedConditions
from trainer.application.session.typed_check import check_temperature, check_wind, read_temperature, read_wind_field
from trainer.application.views.practice import TodayView, WindView, harmless
from trainer.core.conditions import UNKNOWN_WIND, Ball, Surface, Wind
from trainer.core.errors import InputError
from trainer.tui.actions import Place
from trainer.tui.messages import CostsShown, CrowdMet, Refused, SessionShown, TodayShown
from trainer.tui.screens.frame import TALL_ROWS
from trainer.tui.screens.today_round import TodayRound
from trainer.tui.widgets.choice import Choice, Listing
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.wind_picture import short_lines, wind_lines
from trainer.tui.widgets.words import Words

if TYPE_CHECKING:
    from trainer.application.practice import Practice

GO_ON = "go on"
COSTS_AFTER_S = 0.15
PICTURE_COLUMNS, PICTURE_ROWS = 30, 6

NO_WIND_YET = (
    "Wind not read. Type it, even by feel: 12mph 2h felt. Or Enter again to begin without: it will tell less."
)


class TodayScreen(TodayRound):
    """Conditions and plan."""

    def __init__(self) -> None:
        super().__init__()
        self._wind_view: WindView | None = None
        self._begun = False
        self._asked_for_wind = False

    @property
    def place(self) -> Place:
        """Today."""
        return Place.TODAY

    def body(self) -> ComposeResult:
        """The head, the fields with the picture beside them, the plans."""
        yield Words("Today at the range", id="head", classes="strong")
        with Horizontal(id="conditions"):
            with Vertical(id="fields"):
                yield from _field("Wind", Line(hint="such as 14mph 1h gust 20mph", id="wind"))
                yield Words(id="wind-check", classes="quiet check")
                yield from _field("Air", Line(hint="such as 12C", id="air"))
                yield Words(id="air-check", classes="quiet check")
                yield from _field("Ball", Choice([(b.value, b.value) for b in Ball], Ball.PLAYING.value, id="ball"))
                yield from _field(
                    "From", Choice([(s.value, s.value) for s in Surface], Surface.GRASS.value, id="surface")
                )
            yield Words(id="picture")
        yield Words("Plan", id="plan-label")
        yield Listing(id="plans")
        yield Words(id="purpose", classes="quiet")
        yield Words("one moment …", id="asked", classes="asked")

    def on_mount(self) -> None:
        """Take the keys at once, and have the store read in its thread."""
        self.set_focus(self.query_one("#wind", Line))
        self.soon(self._ask_for_the_day)

    def _ask_for_the_day(self) -> None:
        now = self.trainer.clock()

        def ask(practice: Practice) -> Message:
            crowd = practice.crowd()
            return CrowdMet(crowd) if crowd else TodayShown(practice.today(now))

        self.trainer.desk.ask(self, ask)

    def on_crowd_met(self, message: CrowdMet) -> None:
        """Several players: which of them, or the whole squad."""
        self.trainer.show_crowd(message.aliases)

    @property
    def has_player(self) -> bool:
        """Whether somebody's day is shown."""
        return self._view is not None

    def on_today_shown(self, message: TodayShown) -> None:
        """The store was read, or read anew: what was chosen stays chosen."""
        if message.view is None:
            self.trainer.show_first_run()
            return
        plan = self.query_one("#plans", Listing).value
        chosen = {name: self.query_one(name, Choice).value for name in ("#ball", "#surface") if self._view}
        self._fill(message.view)
        if chosen and plan is not None:
            self.query_one("#plans", Listing).point_at(plan)
        for name, value in chosen.items():
            self.query_one(name, Choice).choose(value)

    def show(self, view: TodayView) -> None:
        """Show the day anew, after a session or the first start: its wind is the last that was read."""
        self._begun = False
        if view.wind_words:
            self.query_one("#wind", Line).put(view.wind_words)
        self._fill(view)

    def _fill(self, view: TodayView) -> None:
        if self._view is not None and bool(self._view.in_round) != bool(view.in_round):
            # What the wind costs is not told in a round, and is told again after it.
            self._wind_view = None
        self._view = view
        alias = harmless(view.profile.alias)
        self.query_one("#head", Words).show(f"Today, {view.now:%a %d %b %H:%M} · {alias} · {view.past}")
        self.query_one("#ball", Choice).choose(view.profile.ball.value)
        self.query_one("#surface", Choice).choose(view.profile.surface.value)
        rows = [(plan.id, f"{plan.title}  ({plan.detail})") for plan in view.plans]
        if view.open_session is not None:
            rows.insert(0, (GO_ON, f"Go on: {view.open_session.words}"))
        label = self.query_one("#plan-label", Words)
        label.show(f"Plan     {view.due}".rstrip())
        # In a small window the line makes room for the fields; what is due is worth its place.
        label.set_class(bool(view.due), "due")
        plans = self.query_one("#plans", Listing)
        plans.offer(rows)
        wind = self.query_one("#wind", Line)
        if view.wind_words and not wind.value:
            wind.put(view.wind_words)
        if view.open_session is not None and wind.value in ("", view.wind_words):
            self.set_focus(plans)
        self._show_purpose()
        self._check()
        self._ask(view.problems[0] if view.problems else "")

    def _ask(self, text: str) -> None:
        """Ask or say something; with nothing to say, what Enter does."""
        asked = self.query_one("#asked", Words)
        asked.set_class(not text, "calm")
        asked.show(text or self._what_enter_does())

    def _what_enter_does(self) -> str:
        chosen = self.query_one("#plans", Listing).value
        if self._view is None or chosen is None:
            return ""
        if self._view.in_round:
            return f"{self._view.in_round} F2 4: the card. F3: the round is over."
        if chosen == GO_ON:
            return "Enter goes on with the open session."
        if self._asked_for_wind:
            return NO_WIND_YET
        title = next((plan.title for plan in self._view.plans if plan.id == chosen), "")
        if self._view.open_session is not None and title:
            return f"Enter ends the open session and begins: {title}."
        return f"Enter begins: {title}." if title else ""

    def _show_purpose(self) -> None:
        chosen = self.query_one("#plans", Listing).value
        purpose = ""
        if self._view is not None:
            purpose = next((plan.purpose for plan in self._view.plans if plan.id == chosen), "")
        if chosen == GO_ON:
            purpose = "Enter goes on where it was. Choose a plan instead to begin anew; the open one is ended then."
        self.query_one("#purpose", Words).show(purpose)

    def on_listing_chosen(self) -> None:
        """Another plan is pointed at."""
        self._round_asked = False
        self._show_purpose()
        self._ask("")

    def on_input_changed(self, event: Input.Changed) -> None:
        """Look at what is typed, as it is typed."""
        self._asked_for_wind = self._round_asked = False
        self._check()
        if self._view is not None:
            self._ask("")

    def _check(self) -> None:
        if self._view is None:
            return
        units = self._view.profile.units
        text = self.query_one("#wind", Line).value
        found, wind_view = check_wind(text, units)
        self._show_check("#wind-check", found.good, found.words)
        air = check_temperature(self.query_one("#air", Line).value, units)
        self._show_check("#air-check", air.good, air.words)
        known = self._wind_view
        if wind_view is not None and known is not None and replace(known, costs=()) == wind_view:
            return
        self._wind_view = wind_view
        self.redraw()
        if wind_view is not None and wind_view.blows:
            self.set_timer(COSTS_AFTER_S, lambda: self._wish_costs(text))

    def _show_check(self, where: str, good: bool, words: str) -> None:
        check = self.query_one(where, Words)
        check.set_class(not good, "wrong")
        check.show(words if good else f"? {words}")

    def _wish_costs(self, text: str) -> None:
        if self._view is None or self._view.in_round or text != self.query_one("#wind", Line).value:
            return
        profile = self._view.profile
        wind = read_wind_field(text, profile.units)
        if wind is not None:
            self.trainer.desk.ask(self, lambda practice: CostsShown(text, practice.costs(wind, profile)))

    def on_costs_shown(self, message: CostsShown) -> None:
        """What the wind costs was worked out; it may have been typed over meanwhile."""
        if self._view is None or self._view.in_round:
            return
        if self._wind_view is not None and message.text == self.query_one("#wind", Line).value:
            self._wind_view = replace(self._wind_view, costs=message.costs)
            self.redraw()

    def redraw(self) -> None:
        """The wind's picture with its words."""
        picture = self.query_one("#picture", Words)
        if self._wind_view is None:
            picture.show("")
            return
        if self.is_compact:
            picture.show("\n".join(short_lines(self._wind_view, self.window.width - 2)))
            return
        in_full = self.window.height >= TALL_ROWS
        picture.show("\n".join(wind_lines(self._wind_view, PICTURE_COLUMNS, PICTURE_ROWS, in_full=in_full)))

    def action_begin(self) -> None:
        """Begin with what stands here, or go on with the open session."""
        plan_id = self.query_one("#plans", Listing).value
        if self._view is None or plan_id is None or self._begun:
            return
        now = self.trainer.clock()
        if plan_id == GO_ON and self._view.open_session is not None:
            session_id = self._view.open_session.session_id
            self._begun = True
            self.trainer.desk.ask(self, lambda practice: SessionShown(practice.resume(session_id, now)))
            return
        try:
            stated = self._stated()
        except InputError as problem:
            self._ask(str(problem))
            return
        if stated.wind is None:
            if not self._asked_for_wind:
                self._asked_for_wind = True
                self._ask(NO_WIND_YET)
                return
            stated = replace(stated, wind=UNKNOWN_WIND)
        self._begun = True
        self._ask("laying out the balls …")
        plan = plan_id or None
        self.trainer.desk.ask(self, lambda practice: SessionShown(practice.begin_with(plan, stated, now)))

    @property
    def typed_wind(self) -> str:
        """The wind in its field, empty where it is the last reading that stands there, or cannot be read."""
        text = self.query_one("#wind", Line).value.strip()
        if self._view is None or text == self._view.wind_words or self._wind_view is None:
            return ""
        return text

    def begin_plan(self, plan_id: str, wind_words: str) -> None:
        """Begin with a plan that was looked at, in its wind; with a session open only point at it."""
        if self._view is None:
            return
        plans = self.query_one("#plans", Listing)
        plans.point_at(plan_id)
        self.set_focus(plans)
        if wind_words:
            self.query_one("#wind", Line).put(wind_words)
        if self._view.open_session is None:
            self.soon(self.action_begin)

    def _stated(self) -> StatedConditions:
        """What the fields say. Raises InputError for the first that cannot be read."""
        assert self._view is not None
        units = self._view.profile.units
        wind: Wind | None = read_wind_field(self.query_one("#wind", Line).value, units)
        return StatedConditions(
            wind=wind,
            temperature_k=read_temperature(self.query_one("#air", Line).value, units),
            ball=Ball(self.query_one("#ball", Choice).value),
            surface=Surface(self.query_one("#surface", Choice).value),
        )

    def on_session_shown(self, message: SessionShown) -> None:
        """The session stands in the store: go there."""
        message.stop()
        self.trainer.show_session(message.view)

    def on_refused(self, message: Refused) -> None:
        """It could not be begun; where not even the day can be shown, the program ends and says why."""
        if self._view is None:
            self.trainer.give_up(message.problem)
            return
        self._begun = False
        self._ask(message.why)


def _field(label: str, widget: Line | Choice) -> ComposeResult:
    with Horizontal(classes="row"):
        yield Words(label, classes="label")
        yield widget
