"""What workers tell the screens: one message, one frozen view."""

from __future__ import annotations

from textual.message import Message

from trainer.application.views import FiguresView, SessionView, TodayView, harmless
from trainer.core.errors import TrainerError


class TodayShown(Message):
    """Where the player stands; None where there is no player yet."""

    def __init__(self, view: TodayView | None) -> None:
        super().__init__()
        self.view = view


class SessionShown(Message):
    """A session after a change that the store holds."""

    def __init__(self, view: SessionView) -> None:
        super().__init__()
        self.view = view


class FiguresShown(Message):
    """Figures worked out for one version of a session; older ones than the last are stale."""

    def __init__(self, view: FiguresView) -> None:
        super().__init__()
        self.view = view


class CostsShown(Message):
    """What the wind typed as `text` costs."""

    def __init__(self, text: str, costs: tuple[str, ...]) -> None:
        super().__init__()
        self.text = text
        self.costs = costs


class Refused(Message):
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
