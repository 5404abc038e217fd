"""What the store gives and takes: frozen records, SI inside, times as they were given (local, with any offset)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from trainer.core.bag import Cell, Club
from trainer.core.conditions import REFERENCE_AIR, Air, Ball, Seen, Surface, Turf, Wind
from trainer.core.profile import Profile
from trainer.core.shot import CarryOrigin, ShotEntry


class Source(StrEnum):
    """Whether a shot was typed or came from a shot table."""

    TYPED = "typed"
    TABLE = "table"


class Mark(StrEnum):
    """A ball hit while the wind was not the reading."""

    GUST = "gust"
    LULL = "lull"


class SessionKind(StrEnum):
    """Where a session's balls were hit: practice on a range, or approaches of a round, entered afterwards."""

    RANGE = "range"
    COURSE = "course"


class BallState(StrEnum):
    """What became of a ball of the agenda."""

    WAITING = "waiting"
    HIT = "hit"
    SKIPPED = "skipped"


class Reason(StrEnum):
    """Why old values were kept."""

    CORRECTED = "corrected"
    UNDONE = "undone"


@dataclass(frozen=True, slots=True)
class PlayerRecord:
    """A player; `profile.bag` holds the clubs in the bag now."""

    id: int
    uid: str
    profile: Profile


@dataclass(frozen=True, slots=True)
class ClubRecord:
    """One specification of a club. `retired` is None while it is in the bag."""

    id: int
    player_id: int
    club: Club
    position: int
    since: datetime
    retired: datetime | None


@dataclass(frozen=True, slots=True)
class NewSession:
    """A session to begin. `air_stated` is False where the reference air was only taken for want of better."""

    player_id: int
    started_at: datetime
    plan_id: str | None = None
    seed: int | None = None
    air: Air = REFERENCE_AIR
    air_stated: bool = False
    turf: Turf = Turf.MEDIUM
    note: str = ""
    kind: SessionKind = SessionKind.RANGE


@dataclass(frozen=True, slots=True)
class SessionRecord:
    """A session. `undone` is True where the import that made it was undone and nothing else was hit in it."""

    id: int
    uid: str
    player_id: int
    started_at: datetime
    ended_at: datetime | None
    plan_id: str | None
    seed: int | None
    air: Air
    air_stated: bool
    turf: Turf
    note: str
    undone: bool
    kind: SessionKind = SessionKind.RANGE


@dataclass(frozen=True, slots=True)
class ReadingRecord:
    """A wind reading of a session."""

    id: int
    uid: str
    session_id: int
    at: datetime
    wind: Wind
    undone: bool


@dataclass(frozen=True, slots=True)
class NewBall:
    """A ball to put on a session's agenda. `number` counts within the session; `stage` and `drill` are the plan's.

    `block` is the place of its block in the agenda's basis, -1 for the warm-up. `override` is the reason of a player
    who put another shot in its place. `called_50_m` and `called_80_m` are the (low, high) carries that were last
    called for it, None while nothing was.
    """

    number: int
    drill: str
    cell: Cell
    stage: str
    reason: str
    target_m: float | None = None
    flag: str | None = None
    cue: str = ""
    block: int = -1
    override: str = ""
    called_50_m: tuple[float, float] | None = None
    called_80_m: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class AgendaBallRecord:
    """A ball of a session's agenda and what became of it. `skip_reason` is empty unless it was skipped."""

    session_id: int
    ball: NewBall
    state: BallState
    skip_reason: str

    @property
    def number(self) -> int:
        """The ball's number within the session."""
        return self.ball.number


@dataclass(frozen=True, slots=True)
class NewShot:
    """A shot to keep.

    `cell.club` names a club in the bag now. `target_bearing_rad` is clockwise from the line the wind is read against.
    `called_50_m` and `called_80_m` are the (low, high) carries called before the ball was hit, and `called_shape_m`
    the quantiles of that call, for a score; of a shot of the course they say where it comes to rest. `agenda_number`
    is the ball of the agenda that it was, and `reading_id` the wind reading of the same session that it was hit in.
    """

    at: datetime
    cell: Cell
    entry: ShotEntry
    target_m: float | None = None
    target_bearing_rad: float = 0.0
    ball: Ball = Ball.PLAYING
    surface: Surface = Surface.GRASS
    seen: Seen = Seen.EYE
    carry_origin: CarryOrigin = CarryOrigin.SEEN
    agenda_number: int | None = None
    reading_id: int | None = None
    called_50_m: tuple[float, float] | None = None
    called_80_m: tuple[float, float] | None = None
    mark: Mark | None = None
    source: Source = Source.TYPED
    called_shape_m: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True)
class ShotRecord:
    """A shot as it stands after corrections.

    `number` counts within the session in recorded order. `cell.club` is the club's name and `club_id` its
    specification: two shots of one name and two ids were hit with two different clubs. `reading_id` is the last
    reading not undone, up to the one it was hit in; None where no such reading is left.
    """

    id: int
    uid: str
    session_id: int
    number: int
    at: datetime
    cell: Cell
    club_id: int
    entry: ShotEntry
    agenda_number: int | None
    reading_id: int | None
    target_m: float | None
    target_bearing_rad: float
    ball: Ball
    surface: Surface
    seen: Seen
    carry_origin: CarryOrigin
    called_50_m: tuple[float, float] | None
    called_80_m: tuple[float, float] | None
    mark: Mark | None
    source: Source
    import_id: int | None
    undone: bool
    called_shape_m: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True)
class OwnCall:
    """What the player said before he knew: the carry of the next ball, or the wind before it was read.

    One of `carry_m` and `wind_mps` with `wind_from_rad` (relative to the target line) is given. `shot_id` is the ball
    it was said of, `reading_id` the reading; None while that is still to come.
    """

    id: int
    session_id: int
    at: datetime
    carry_m: float | None
    wind_mps: float | None
    wind_from_rad: float | None
    shot_id: int | None
    reading_id: int | None


@dataclass(frozen=True, slots=True)
class RoundRecord:
    """A round of golf. `card` is the pocket card as it was printed before it, by form."""

    id: int
    player_id: int
    started_at: datetime
    ended_at: datetime | None
    card: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class ShotRevision:
    """A shot as it was before it was corrected or undone at `at`."""

    at: datetime
    reason: Reason
    old: ShotRecord


@dataclass(frozen=True, slots=True)
class ReadingRevision:
    """A wind reading as it was before it was corrected or undone at `at`."""

    at: datetime
    reason: Reason
    old: ReadingRecord


@dataclass(frozen=True, slots=True)
class ImportedRow:
    """A row of an imported file as it stood, and the shot that came of it, if one did.

    `session` is the key of one of `NewImport.sessions`, empty for the import's own session. `wind` is what the row
    itself tells of the wind, None where the session's holds.
    """

    number: int
    text: str
    shot: NewShot | None = None
    session: str = ""
    wind: Wind | None = None


@dataclass(frozen=True, slots=True)
class NewImport:
    """A file to keep whole: its raw rows as (row number, text), and the shots read from them.

    `session` is a session to make for it, or the id of one that stands; `sessions` are further ones to make, by the
    keys that `rows` name. `wind` is a reading to add to each of those sessions at its start; shots that name no
    reading and have no wind of their own take it. `rows` are taken one by one while they are kept, and may be many;
    `raw_rows` and `shots` go before them. `taken_bytes` is how much of a file that still grows was taken, None for
    a whole one.
    """

    player_id: int
    session: NewSession | int
    name: str
    sha256: str
    at: datetime
    raw_rows: tuple[tuple[int, str], ...] = ()
    shots: tuple[NewShot, ...] = ()
    wind: Wind | None = None
    sessions: Mapping[str, NewSession] = field(default_factory=dict)
    rows: Iterable[ImportedRow] = ()
    taken_bytes: int | None = None


@dataclass(frozen=True, slots=True)
class ImportRecord:
    """A file that was imported. `rows` counts its raw rows, `shots` the shots that came of them.

    `taken_bytes` is how much of a file that grows was taken so far, and `sha256` the hash of that much; None: all.
    """

    id: int
    player_id: int
    session_id: int
    name: str
    sha256: str
    at: datetime
    rows: int
    shots: int
    undone_at: datetime | None
    taken_bytes: int | None = None

    @property
    def undone(self) -> bool:
        """Whether the import was taken back."""
        return self.undone_at is not None


@dataclass(frozen=True, slots=True)
class HeldShot:
    """The little of a stored shot by which the same shot in a file is known again."""

    at: datetime
    club: str
    carry_m: float | None
    total_m: float | None
    resolution_m: float | None


@dataclass(frozen=True, slots=True)
class Counts:
    """How many rows a store holds, undone ones included."""

    players: int = 0
    clubs: int = 0
    sessions: int = 0
    readings: int = 0
    shots: int = 0
    imports: int = 0


@dataclass(frozen=True, slots=True)
class DoctorReport:
    """The state of a store. `problems` is empty where it is sound; `mended` says what was put right.

    `version` and `known_version` are migration numbers. `checkpointed` is False where another program was reading and
    the write-ahead log could not be folded into the file.
    """

    path: str
    version: int
    known_version: int
    problems: tuple[str, ...]
    mended: tuple[str, ...]
    checkpointed: bool
    size_bytes: int
    counts: Counts = field(default_factory=Counts)

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong with it."""
        return not self.problems
