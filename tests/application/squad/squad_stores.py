"""Invented players' stores, and coaches' stores that their result files go to."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from contextlib import ExitStack
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

from trainer.application.setup.proposed_bag import propose_bag
from trainer.application.squad.coach import add_member
from trainer.application.squad.player import hand_in, hand_on
from trainer.application.squad.result_tables import shared_of
from trainer.core.bag import Cell, Club, Swing
from trainer.core.conditions import Wind, WindKnowledge
from trainer.core.profile import AgeBand, CarryBasis, KnownCarry, Profile
from trainer.core.shot import ShotEntry
from trainer.exchange.result_file import read_result, write_result
from trainer.store.records import NewBall, NewSession, NewShot
from trainer.store.squad_records import Merged
from trainer.store.store import Store, open_store

START = datetime(2026, 5, 4, 18, 30)
CONSENT = date(2026, 5, 1)
CELL = Cell("7 iron", 0.0254, Swing.THREE_QUARTER)


def profile(alias: str, bag_of: KnownCarry | None = None) -> Profile:
    known = bag_of or KnownCarry("7 iron", 118.0, CarryBasis.MEASURED)
    return Profile(alias, propose_bag(known), known)


def breeze(mps: float = 5.0) -> Wind:
    return Wind(WindKnowledge.READ, mps, 0.4)


class PlayerStore:
    """One player's own store, told what to do step by step; his clock goes on by a minute a step."""

    def __init__(self, store: Store, alias: str) -> None:
        self.store = store
        self.alias = alias
        self.now = START
        self._profile = profile("me")
        self.player = store.save_profile(self._profile, START)
        self.session_id = 0

    def tick(self, minutes: float = 1) -> datetime:
        self.now += timedelta(minutes=minutes)
        return self.now

    def begin(self, plan_id: str | None = None) -> None:
        self.session_id = self.store.begin_session(NewSession(self.player.id, self.tick(1440), plan_id)).id
        self.store.add_reading(self.session_id, breeze(), self.now)

    def read_wind(self) -> None:
        self.store.add_reading(self.session_id, breeze(3.0), self.tick())

    def hit(self, carry_m: float = 101.25, *, on_agenda: bool = False, target_m: float | None = 100.0) -> int:
        number = None
        if on_agenda:
            number = len(self.store.agenda(self.session_id)) + 1
            ball = NewBall(number, "club-down ladder", CELL, "step", "due", 100.0)
            self.store.put_agenda(self.session_id, [ball])
        readings = self.store.readings(self.session_id)
        reading_id = readings[-1].id if readings else None
        entry = ShotEntry(carry_m=carry_m, side_m=-2.5, tags=("closer",), resolution_m=0.9144)
        shot = NewShot(
            self.tick(), CELL, entry, target_m, agenda_number=number, reading_id=reading_id, called_80_m=(90.0, 110.0)
        )  # fmt: skip
        return self.store.add_shot(self.session_id, shot).id

    def change_club(self) -> None:
        """Another 7 iron, half a degree weaker."""
        clubs = tuple(
            Club(club.name, club.loft_rad + math.radians(0.5), club.length_m, club.stock_carry_m - 1.5)
            if club.name == "7 iron"
            else club
            for club in self._profile.bag.clubs
        )
        self._profile = replace(self._profile, bag=replace(self._profile.bag, clubs=clubs))
        self.store.save_profile(self._profile, self.tick())

    def submit(self) -> list[bytes]:
        """All sessions with a shot as result files; none before a shot was hit."""
        if not self.store.shots():
            return []
        found = hand_in(self.store, None, self.tick(), known_as=self.alias)
        return [write_result(result).encode() for each in found for result in each.results]


def open_player(stack: ExitStack, folder: Path, alias: str) -> PlayerStore:
    return PlayerStore(stack.enter_context(open_store(folder / f"{alias}.db", write=True)), alias)


def open_coach(stack: ExitStack, path: Path, aliases: Sequence[str] = ("kestrel", "wren")) -> Store:
    store = stack.enter_context(open_store(path, write=True))
    for alias in aliases:
        add_member(store, alias, START, age_band=AgeBand.FROM_14, consent_date=CONSENT)
    return store


def take_in(coach: Store, files: Iterable[bytes]) -> list[Merged]:
    return [coach.squad.merge(shared_of(read_result(content, "a"))) for content in files]


def handed_on(coach: Store) -> list[bytes]:
    found = hand_on(coach, START + timedelta(days=99))
    return [write_result(result).encode() for each in found for result in each.results]


def contents(coach: Store) -> list[object]:
    """All that a coach's store says of its squad, by stable ids, whatever order it came in."""
    told: list[object] = []
    for member in coach.squad.members():
        told.append((member.alias, member.age_band, member.consent_date, member.profile_as_of))
        if member.player_id is None:
            continue
        told.append(coach.player(member.alias).profile)
        clubs = coach.clubs(member.player_id, include_retired=True)
        told.append(sorted((club.club.name, club.club.loft_rad, club.club.stock_carry_m, club.retired is None)
                           for club in clubs))  # fmt: skip
        handed_in = coach.squad.handed_in(member.player_id)
        for session in sorted(coach.sessions(member.player_id), key=lambda each: each.uid):
            shared = coach.squad.shared_session(session.id)
            told.append(replace(shared, readings=tuple(sorted(shared.readings, key=lambda each: each.uid))))
            told.append(handed_in[session.id])
    return told
