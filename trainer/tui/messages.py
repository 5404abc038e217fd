"""What workers tell the screens: one message, one frozen view."""

from __future__ import annotations

from collections.abc import Mapping

from textual.events import Event
from textual.message import Message

from trainer.application.views.practice import FiguresView, SessionView, TodayView, harmless
from trainer.core.errors import TrainerError


class Told(Event):
    """What a thread tells a screen. An event, as keys are: a screen takes it only while it stands."""


class TodayShown(Told):
    """Where the player stands; None where there is no player yet."""

    def __init__(self, view: TodayView | None) -> None:
        super().__init__()
        self.view = view


class CrowdMet(Told):
    """The store holds several players, and nobody said which of them it is."""

    def __init__(self, aliases: tuple[str, ...]) -> None:
        super().__init__()
        self.aliases = aliases


class SessionShown(Told):
    """A session after a change that the store holds."""

    def __init__(self, view: SessionView) -> None:
        super().__init__()
        self.view = view


class RestShown(Told):
    """The session after its rest was planned anew: nobody's key asked for that."""

    def __init__(self, view: SessionView) -> None:
        super().__init__()
        self.view = view


class RestFailed(Told):
    """The rest could not be planned anew: the balls stay as they were, and why."""

    def __init__(self, why: str) -> None:
        super().__init__()
        self.why = why


class BallCalled(Told):
    """Where a ball that waits is called to land, in words, as the store holds it now."""

    def __init__(self, number: int, words: str) -> None:
        super().__init__()
        self.number = number
        self.words = words


class FiguresShown(Told):
    """Figures worked out for one version of a session; older ones than the last are stale."""

    def __init__(self, view: FiguresView) -> None:
        super().__init__()
        self.view = view


class CostsShown(Told):
    """What the wind typed as `text` costs."""

    def __init__(self, text: str, costs: tuple[str, ...]) -> None:
        super().__init__()
        self.text = text
        self.costs = costs


class Looked(Told):
    """The answer to question `number` of a screen that looks at what is known: its frozen view."""

    def __init__(self, number: int, view: object) -> None:
        super().__init__()
        self.number = number
        self.view = view


class Progressed(Told):
    """How far long work is: `done` of `whole`, and what is being done."""

    def __init__(self, what: str, done: int, whole: int) -> None:
        super().__init__()
        self.what = what
        self.done = done
        self.whole = whole


class RoundCard(Told):
    """The card that a round is to begin with, as printed, by form."""

    def __init__(self, card: Mapping[str, str]) -> None:
        super().__init__()
        self.card = card


class Saved(Told):
    """A file was written, and where it lies."""

    def __init__(self, where: str) -> None:
        super().__init__()
        self.where = where


class Refused(Told):
    """Nothing was kept: the one line that says why, and what to do."""

    def __init__(self, problem: TrainerError) -> None:
        super().__init__()
        self.problem = problem

    @property
    def why(self) -> str:
        """The one line."""
        return harmless(str(self.problem))


class Broken(Message):
    """A worker met a defect of the program: it is raised where it is seen."""

    def __init__(self, error: BaseException) -> None:
        super().__init__()
        self.error = error
