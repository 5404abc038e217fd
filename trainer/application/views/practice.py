"""What a screen is given to show: frozen, in words, in the player's units. Nothing heavy is loaded here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from trainer.core.profile import Profile

if TYPE_CHECKING:
    from trainer.application.estimates.calling import Call
    from trainer.application.views.session_pictures import SessionPicture


def harmless(text: str, *, keep_lines: bool = False) -> str:
    """`text` without control characters, so that no name or tag can steer a terminal."""
    kept = "\n" if keep_lines else ""
    return "".join(char if char.isprintable() or char in kept else " " for char in text)


@dataclass(frozen=True, slots=True)
class WindView:
    """A wind against one target line.

    `from_rad` is 0 into the face, π/2 from the right. `costs` are sentences, empty until they are worked out.
    `blows` is False where there is none, or where it is not known (`known`).
    """

    known: bool
    blows: bool
    from_rad: float
    beaufort: int
    speed: str
    gust: str
    direction: str
    strength: str
    source: str
    costs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BallView:
    """The next ball. `stamp` is the club's short name, `change` what differs from the last ball.

    `called` says where it is called to land, in words; empty until that is worked out.
    """

    number: int
    drill: str
    stage: str
    club: str
    stamp: str
    grip: str
    swing: str
    distance: str
    aim: str
    change: str
    cue: str
    reason: str
    repeat: int = 1
    called: str = ""

    @property
    def warm_up(self) -> bool:
        """Whether it is hit and not recorded."""
        return self.stage == "warm-up"

    @property
    def feedback(self) -> bool:
        """Whether results may be looked at before the next ball."""
        return self.stage != "test"


@dataclass(frozen=True, slots=True)
class ShotRow:
    """A recorded shot: `words` as it would be typed, `said` in words, `marks` such as `gust` or `corrected`.

    `hidden` is True while a test runs in which its result must not be looked at.
    """

    id: int
    number: int
    cell: str
    words: str
    said: str
    marks: str = ""
    hidden: bool = False


@dataclass(frozen=True, slots=True)
class SessionView:
    """A session as it stands in the store. `version` grows with every change; `said` tells what the last one was.

    `shots` are newest first. `left` counts the balls still to hit, warm-up included. `ask_wind` says that it is time
    to look at the wind again; `rest_due` that a break is. `thunder_at` is when thunder was last heard. `asks` is the
    first word of the line that the next ball asks for (`say`, `guess`, `wind`), empty where it asks for none.
    """

    version: int
    session_id: int
    title: str
    started_at: datetime
    profile: Profile
    ball: BallView | None
    balls: int
    left: int
    hit: int
    skipped: int
    shots: tuple[ShotRow, ...]
    wind: WindView
    said: str = ""
    heard: str = ""
    notes: tuple[str, ...] = ()
    ask_wind: bool = False
    rest_due: bool = False
    thunder_at: datetime | None = None
    asks: str = ""

    @property
    def testing(self) -> bool:
        """Whether a test runs: no result is looked at until its last ball is hit."""
        return self.ball is not None and not self.ball.feedback

    @property
    def finished(self) -> bool:
        """Whether every ball of a plan was hit or skipped."""
        return self.balls > 0 and self.ball is None


@dataclass(frozen=True, slots=True)
class StripView:
    """A carry with its interval beside what it was before, in the player's unit, for a picture and in words."""

    low: float
    median: float
    high: float
    before_low: float
    before_high: float
    target: float | None
    unit: str


@dataclass(frozen=True, slots=True)
class FiguresView:
    """What is known of the next ball's cell after the change that made `version`, and how each cell hit has moved.

    `picture` is the same to draw, None where no shot is of interest.
    """

    version: int
    session_id: int
    cell: str
    strip: StripView | None
    words: str
    moved: tuple[str, ...] = ()
    called: Call | None = None
    picture: SessionPicture | None = None


@dataclass(frozen=True, slots=True)
class PlanRow:
    """A plan to choose: `detail` in one line, `purpose` in a sentence or two."""

    id: str
    title: str
    detail: str
    purpose: str = ""


@dataclass(frozen=True, slots=True)
class OpenSession:
    """A session that was begun and not ended."""

    session_id: int
    words: str


@dataclass(frozen=True, slots=True)
class TodayView:
    """Where the player stands before a session. `wind_words` is the last reading of today as it would be typed.

    `due` names the plan that is due next, empty where none has a day. `in_round` says that a round is on, which
    leaves only its card; empty where none is.
    """

    profile: Profile
    now: datetime
    plans: tuple[PlanRow, ...]
    open_session: OpenSession | None
    past: str
    wind_words: str = ""
    problems: tuple[str, ...] = ()
    due: str = ""
    in_round: str = ""


@dataclass(frozen=True, slots=True)
class Check:
    """A typed text looked at while it is typed: what it means, or the one line that says what is wrong."""

    good: bool
    words: str
