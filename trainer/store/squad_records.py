"""What the squad's part of the store gives and takes: members, assignments, and sessions as they travel by file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from trainer.core.bag import Club, canonical_club
from trainer.core.conditions import Wind
from trainer.core.profile import AgeBand, Profile
from trainer.store.records import NewSession, NewShot


class Decision(StrEnum):
    """What a coach says of what was handed in."""

    RETURNED = "returned"
    ACCEPTED = "accepted"


@dataclass(frozen=True, slots=True)
class NewMember:
    """A member to keep: alias and age band, no more. `consent_date` is None where no consent was given."""

    alias: str
    age_band: AgeBand
    consent_date: date | None
    keep_until: date


@dataclass(frozen=True, slots=True)
class Member:
    """A member of a coach's squad. `player_id` is the player his results went to, None before the first came in.

    `profile_as_of` is the moment of the profile held of him.
    """

    id: int
    alias: str
    age_band: AgeBand
    consent_date: date | None
    keep_until: date
    added_at: datetime
    player_id: int | None
    profile_as_of: datetime | None

    @property
    def may_be_kept(self) -> bool:
        """Whether his results may be taken in: a junior's only with consent."""
        return self.consent_date is not None or not self.age_band.is_junior

    def is_past_keep(self, today: date) -> bool:
        """Whether his data should be gone by now."""
        return today > self.keep_until


@dataclass(frozen=True, slots=True)
class CoachNote:
    """A coach's own words on a member; they never leave the coach's store."""

    at: datetime
    text: str


@dataclass(frozen=True, slots=True)
class NewAssignment:
    """A plan given to a member. `plan_id` is the assignment's own: sessions of it tell whose they are by it."""

    uid: str
    member_id: int
    plan_id: str
    title: str
    assigned_at: datetime
    due: date


@dataclass(frozen=True, slots=True)
class AssignmentRecord:
    """An assignment and how far it came. `started_at` is its first session's start, `handed_in_at` when a session
    of it was last handed in; both None before."""

    id: int
    uid: str
    member_id: int
    plan_id: str
    title: str
    assigned_at: datetime
    due: date
    started_at: datetime | None
    handed_in_at: datetime | None
    decision: Decision | None
    decided_at: datetime | None


@dataclass(frozen=True, slots=True)
class TakenAssignment:
    """An assignment in a player's own store: under which alias the coach knows him, and until when it is due."""

    uid: str
    player_id: int
    alias: str
    age_band: AgeBand
    plan_id: str
    title: str
    assigned_at: datetime
    due: date
    taken_at: datetime
    started_at: datetime | None = None
    handed_in_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class SharedReading:
    """A standing wind reading under its stable id."""

    uid: str
    at: datetime
    wind: Wind


@dataclass(frozen=True, slots=True)
class Specification:
    """What makes a club the same club: its written-out name, loft and length, to a ten-thousandth (rad, m)."""

    name: str
    loft_rad: float
    length_m: float

    @classmethod
    def of(cls, club: Club) -> Specification:
        """That of `club`."""
        return cls(canonical_club(club.name), round(club.loft_rad, 4), round(club.length_m, 4))


@dataclass(frozen=True, slots=True)
class SharedShot:
    """A shot as it stands, under its stable id.

    `shot.cell.club` is the club's name and `club` its specification; `shot.reading_id` is None, `reading` says which
    reading instead. `drill` and `stage` are those of the agenda's ball it was, empty without one.
    """

    uid: str
    number: int
    shot: NewShot
    club: Specification
    reading: str | None
    drill: str
    stage: str
    undone: bool


@dataclass(frozen=True, slots=True)
class SharedSession:
    """A session with its standing readings and all its shots. `session.player_id` is 0: it is not the store's."""

    uid: str
    session: NewSession
    ended_at: datetime | None
    readings: tuple[SharedReading, ...]
    shots: tuple[SharedShot, ...]


@dataclass(frozen=True, slots=True)
class SharedPlayer:
    """A player as he travels: his profile as of a moment, and the clubs he no longer carries."""

    uid: str
    profile: Profile
    as_of: datetime
    retired: tuple[Club, ...]


@dataclass(frozen=True, slots=True)
class SharedResult:
    """All that one result file says, for the squad member `alias`, handed in at `handed_in_at`."""

    alias: str
    handed_in_at: datetime
    player: SharedPlayer
    session: SharedSession


@dataclass(frozen=True, slots=True)
class Merged:
    """What came of a result: rows added, shots held already, shots and readings put right.

    `conflicts` are sentences; where there are any nothing was added.
    """

    new_session: bool = False
    readings: int = 0
    shots: int = 0
    held_shots: int = 0
    corrected: int = 0
    conflicts: tuple[str, ...] = ()
