"""Looking at what is known: what the store held, read in one thread; what follows of it, worked out in another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from trainer.application.choosing.card import make_card
from trainer.application.choosing.card_print import card_html, card_svg, card_text, every_form
from trainer.application.choosing.choice_view import choice_view
from trainer.application.choosing.course import course_report
from trainer.application.choosing.options import choose
from trainer.application.choosing.rounds import RoundLock, require_no_round, round_on
from trainer.application.conditions.asking import read_card, read_choice, read_pair, read_weather
from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.learning import Known, learn, recall
from trainer.application.estimates.snapshot import snapshot
from trainer.application.evidence.history import History, read_history
from trainer.application.files.file_picking import path_of
from trainer.application.flights.cell_page import cell_view
from trainer.application.flights.comparing import compare
from trainer.application.flights.counterpart import counterpart
from trainer.application.flights.pictures import flights_view
from trainer.application.planning.agenda import Wish, own_plans_folder, plan_session
from trainer.application.planning.due import days_hit, due_rows, next_row, next_words
from trainer.application.planning.plan_view import plan_balls_view
from trainer.application.planning.plan_words import plan_list_text
from trainer.application.practice import plan_rows
from trainer.application.reports.progress import Past, past_around, progress_from
from trainer.application.reports.progress_view import progress_view
from trainer.application.views.gaps import gaps_view
from trainer.application.views.look import (
    CardView,
    CellView,
    ChoiceView,
    FlightsView,
    GapsView,
    PlanBallsView,
    PlansView,
    ProgressView,
)
from trainer.application.views.practice import harmless
from trainer.core.bag import Cell
from trainer.core.errors import InputError
from trainer.exchange.private_file import write_private
from trainer.plan.collection import read_library
from trainer.store.store import open_store


@dataclass(frozen=True, slots=True)
class Held:
    """What a store held of a player when a screen asked, and when that was.

    `past` is all that progress is told from, None where it was not asked for. `lock` is the round that is on: then
    the card is all that may be shown.
    """

    history: History
    past: Past | None
    now: datetime
    plan_folders: tuple[Path, ...]
    lock: RoundLock | None = None

    @property
    def whole(self) -> Past:
        """All of it. RuntimeError where it was not asked for."""
        if self.past is None:
            raise RuntimeError("the past was not read: ask for the whole")
        return self.past


class Shelf:
    """What was read of a store, read anew only where its files have changed. For the thread that owns the store."""

    def __init__(self, path: Path, alias: str | None, plan_folders: Sequence[Path] | None = None) -> None:
        self._path, self._alias = path, alias
        self._folders = tuple(plan_folders if plan_folders is not None else [own_plans_folder(path)])
        self._stamp: object = None
        self._history: History | None = None
        self._past: Past | None = None

    def take(self, now: datetime, *, whole: bool = False, in_a_round: bool = False) -> Held:
        """What the store holds; `whole` with agendas, own calls and the course log.

        Raises InputError where the player is in a round, unless `in_a_round` is allowed.
        """
        stamp = (_stamp(self._path), _stamp(self._path.with_name(f"{self._path.name}-wal")))
        with open_store(self._path, write=False) as store:
            if not in_a_round:
                require_no_round(store, self._alias, now)
            if self._history is None or stamp != self._stamp:
                self._history = self._past = None  # let go first: of years of balls only one copy is to be held
                self._history, self._stamp = read_history(store, self._alias), stamp
            if whole and self._past is None:
                self._past = past_around(store, self._history)
            lock = round_on(store, self._alias, now)
        return Held(self._history, self._past if whole else None, now, self._folders, lock)


def _stamp(path: Path) -> tuple[int, int] | None:
    """When a file was written last and how long it is; None where there is none, or nothing in it.

    Merely reading a store leaves an empty write-ahead log beside it.
    """
    try:
        held = path.stat()
    except FileNotFoundError:
        return None
    return (held.st_mtime_ns, held.st_size) if held.st_size else None


class Looking:
    """The questions of the screens that look at what is known. For the one thread that calculates.

    A `wind` is as it is typed, with other conditions behind it, empty for the wind of today. Every question raises
    InputError where its words cannot be read.
    """

    def __init__(self) -> None:
        self._known: Known | None = None
        self._of: tuple[History, object] | None = None

    def prepare(self, held: Held) -> None:
        """Have at hand what the first question needs, as far as it was learned before: nothing is fitted here."""
        known = recall(held.history, held.now)
        if known is not None:
            self._known, self._of = known, (held.history, held.now.date())

    def known(self, held: Held) -> Known:
        """What the shots taught, kept while neither they nor the day change."""
        history, day = held.history, held.now.date()
        if self._known is None or self._of is None or self._of[0] is not history or self._of[1] != day:
            self._known, self._of = learn(history, held.now), (history, day)
        return self._known

    def gaps(self, held: Held, wind: str) -> GapsView:
        """The gapping table."""
        profile = held.history.profile
        stated = read_weather(wind, profile.units)
        return gaps_view(snapshot(held.history, stated, held.now, known=self.known(held)), profile)

    def cell(self, held: Held, cell: Cell, wind: str) -> CellView:
        """All of one shot."""
        stated = read_weather(wind, held.history.profile.units)
        return cell_view(held.history, cell, stated, held.now, self.known(held))

    def beside(self, held: Held, cell: Cell | None, wind: str) -> FlightsView:
        """A shot beside its counterpart; without one named, the full swing of a mid iron."""
        history = held.history
        profile = history.profile
        stated = read_weather(wind, profile.units)
        table = snapshot(history, stated, held.now, known=self.known(held))
        shown = cell or Cell(profile.bag.mid_iron.name)
        cells = shown, counterpart(shown, table.still_air_m, profile.bag)
        return flights_view(compare(history, cells, stated, held.now), profile.units)

    def pair(self, held: Held, text: str, wind: str) -> FlightsView:
        """Two shots side by side."""
        profile = held.history.profile
        cells, stated = read_pair(text, profile.bag, profile.units, wind)
        return flights_view(compare(held.history, cells, stated, held.now), profile.units)

    def choice(self, held: Held, text: str, wind: str) -> ChoiceView:
        """Three choices for a target."""
        history = held.history
        target, aim, stated = read_choice(text, history.profile.units, wind)
        course = course_report(held.whole.course, history, held.now)
        return choice_view(choose(history, target, stated, held.now, aim), history.profile, course)

    def card(self, held: Held, text: str) -> CardView:
        """The pocket card; in a round the one that was made before it, whatever is asked."""
        if held.lock is not None:
            forms = held.lock.card
            return CardView(forms["text"], forms["html"], forms["svg"], held.lock.words)
        history = held.history
        units = history.profile.units
        clubs, stated = read_card(text, units)
        course = course_report(held.whole.course, history, held.now)
        card = make_card(history, stated, held.now, clubs, course)
        return CardView(
            harmless(card_text(card, units), keep_lines=True), card_html(card, units), card_svg(card, units)
        )

    def round_card(self, held: Held) -> Mapping[str, str]:
        """The usual card as of now in every form, to begin a round with."""
        course = course_report(held.whole.course, held.history, held.now)
        card = make_card(held.history, StatedConditions(), held.now, (), course)
        return every_form(card, held.history.profile.units)

    def progress(self, held: Held) -> ProgressView:
        """Retention, transfer and practice apart."""
        return progress_view(progress_from(held.whole, held.now), held.history.profile.units)

    def plans(self, held: Held) -> PlansView:
        """The plans, what each is for, and what is due."""
        library = read_library(held.plan_folders)
        plans = [library.plans[plan_id] for plan_id in sorted(library.plans)]
        due = due_rows(plans, days_hit(held.history), held.now.date())
        return PlansView(
            rows=tuple(row for row in plan_rows(library, due) if row.id),
            due=harmless(next_words(next_row(due))),
            problems=tuple(harmless(problem) for problem in library.errors),
            text=harmless(plan_list_text(plans), keep_lines=True),
        )

    def plan_balls(self, held: Held, plan_id: str, wind: str) -> PlanBallsView:
        """The balls of a plan in a wind."""
        history = held.history
        stated = read_weather(wind, history.profile.units)
        planned = plan_session(history, Wish(plan_id), stated, held.now, held.plan_folders)
        return plan_balls_view(planned, history.profile.units)


def save_card(view: CardView, name: str) -> Path:
    """Write the card to a new file whose ending (.txt, .html, .svg) says as what; gives where it lies.

    Raises InputError for another ending, an empty name, a folder that is not there, and a file that exists.
    """
    path = path_of(name).absolute()
    forms = {".txt": view.text + "\n", ".html": view.html + "\n", ".svg": view.svg + "\n"}
    if not name.strip() or path.suffix.lower() not in forms:
        raise InputError("a card is saved as text, HTML or SVG", "file", "end the name with .txt, .html or .svg")
    if not path.parent.is_dir():
        raise InputError("there is no such folder", str(path.parent), "make it, or name another")
    write_private(path, forms[path.suffix.lower()])
    return path
