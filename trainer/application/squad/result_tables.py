"""Between the store's records and a result file's tables: the same session, told in both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from pydantic import ValidationError

from trainer.core.bag import Bag, Cell, Club, canonical_club
from trainer.core.conditions import Air, Wind
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand, KnownCarry, Profile, RangeFlag
from trainer.core.shot import ShotEntry
from trainer.core.units import UnitChoice
from trainer.exchange.plain_text import shown_text
from trainer.exchange.result_file import FORMAT
from trainer.exchange.result_model import (
    LONGEST_TEXT,
    MOST_READINGS,
    MOST_SHOTS,
    ClubTable,
    FlagTable,
    KnownCarryTable,
    PlayerTable,
    ReadingTable,
    ResultTable,
    SessionTable,
    ShotTable,
    UnitsTable,
)
from trainer.store.records import Mark, NewSession, NewShot, Source
from trainer.store.squad_records import (
    SharedPlayer,
    SharedReading,
    SharedResult,
    SharedSession,
    SharedShot,
    Specification,
)

_ENTRY = (
    "carry_m", "total_m", "side_m", "flag", "flag_offset_m", "depth", "width", "apex_m", "hang_s", "ball_speed_mps",
    "launch_rad", "spin_rad_s", "mishit", "unseen", "resolution_m",
)  # fmt: skip
"""The fields that a shot's table and `ShotEntry` share by name."""


def results_of(
    player: SharedPlayer,
    session: SharedSession,
    alias: str,
    age_band: AgeBand | None,
    handed_in_at: datetime,
    *,
    with_note: bool = False,
) -> tuple[ResultTable, ...]:
    """A session as result files: one, or several where it is long. Without names: alias and age band stand for him.

    The note, free words of the player, goes along only `with_note`. Raises InputError for what no such file may hold:
    an own club's name or a tag that is too long.
    """
    try:
        return _results_of(player, session, alias, age_band, handed_in_at, with_note=with_note)
    except ValidationError as error:
        fault = error.errors(include_url=False, include_context=False)[0]
        what = f"'{shown_text(str(fault['input']))}': {fault['msg'].removeprefix('Value error, ')}"
        raise InputError(
            f"it cannot go into a result file ({what})",
            f"session of {session.session.started_at:%Y-%m-%d}",
            "put that right first",
        ) from None


def _results_of(
    player: SharedPlayer,
    session: SharedSession,
    alias: str,
    age_band: AgeBand | None,
    handed_in_at: datetime,
    *,
    with_note: bool,
) -> tuple[ResultTable, ...]:
    keys = _club_keys(player)
    head = _session_table(session, with_note=with_note)
    told = _player_table(player, keys)
    parts = [session.shots[i : i + MOST_SHOTS] for i in range(0, len(session.shots), MOST_SHOTS)] or [()]
    unused = {reading.uid for reading in session.readings} - {shot.reading for shot in session.shots}
    return tuple(
        ResultTable(
            kind="result",
            format=FORMAT,
            alias=alias,
            age_band=age_band,
            handed_in_at=handed_in_at,
            player=told,
            session=head,
            reading=_readings(session, part, unused if part is parts[-1] else set()),
            shot=[_shot_table(shot, keys) for shot in part],
        )
        for part in parts
    )


def _readings(session: SharedSession, part: Sequence[SharedShot], also: set[str]) -> list[ReadingTable]:
    wanted = {shot.reading for shot in part} | also
    chosen = [reading for reading in session.readings if reading.uid in wanted][-MOST_READINGS:]
    return [_reading_table(reading) for reading in chosen]


def _club_keys(player: SharedPlayer) -> Mapping[Specification, str]:
    """What a file calls each club: its name, numbered where two clubs shared one name."""
    keys: dict[Specification, str] = {}
    for club in (*player.profile.bag.clubs, *player.retired):
        specification = Specification.of(club)
        taken = sum(other.name == specification.name for other in keys if other != specification)
        keys.setdefault(specification, specification.name if taken == 0 else f"{specification.name} ~{taken + 1}")
    return keys


def _player_table(player: SharedPlayer, keys: Mapping[Specification, str]) -> PlayerTable:
    profile = player.profile
    clubs = {Specification.of(club): (club, False) for club in profile.bag.clubs}
    for club in player.retired:
        clubs.setdefault(Specification.of(club), (club, True))
    return PlayerTable(
        id=player.uid,
        as_of=player.as_of,
        hand=profile.hand,
        ball=profile.ball,
        surface=profile.surface,
        sees=profile.sees,
        seen=profile.seen,
        pin_depth_m=profile.pin_depth_m,
        pin_width_m=profile.pin_width_m,
        grip_steps_m=list(profile.bag.grip_steps_m),
        units=UnitsTable(**{name: getattr(profile.units, name) for name in UnitsTable.model_fields}),
        known_carry=KnownCarryTable(
            club=profile.known_carry.club, carry_m=profile.known_carry.carry_m, basis=profile.known_carry.basis
        ),
        club=[
            ClubTable(
                key=keys[specification],
                name=club.name,
                loft_rad=club.loft_rad,
                length_m=club.length_m,
                stock_carry_m=club.stock_carry_m,
                retired=retired,
            )
            for specification, (club, retired) in clubs.items()
        ],
        flag=[
            FlagTable(name=flag.name, distance_m=flag.distance_m, bearing_rad=flag.bearing_rad)
            for flag in profile.flags
        ],
    )


def _session_table(session: SharedSession, *, with_note: bool) -> SessionTable:
    new = session.session
    return SessionTable(
        id=session.uid,
        started_at=new.started_at,
        ended_at=session.ended_at,
        plan=new.plan_id,
        seed=new.seed,
        air_temperature_k=new.air.temperature_k,
        air_pressure_pa=new.air.pressure_pa,
        air_relative_humidity=new.air.relative_humidity,
        air_stated=new.air_stated,
        turf=new.turf,
        note=one_line(new.note) if with_note else "",
    )


def one_line(text: str) -> str:
    """`text` as it may stand in a file: what cannot be printed is a blank, and it is cut where it is too long."""
    printable = "".join(letter if letter.isprintable() else " " for letter in text)
    return " ".join(printable.split())[:LONGEST_TEXT].strip()


def _reading_table(reading: SharedReading) -> ReadingTable:
    wind = reading.wind
    return ReadingTable(
        id=reading.uid,
        at=reading.at,
        knowledge=wind.knowledge,
        speed_mps=wind.speed_mps,
        from_rad=wind.from_rad,
        height_m=wind.height_m,
        method=wind.method,
        place=wind.place,
        gust_mps=wind.gust_mps,
    )


def _shot_table(shared: SharedShot, keys: Mapping[Specification, str]) -> ShotTable:
    shot = shared.shot
    entry: dict[str, Any] = {name: getattr(shot.entry, name) for name in _ENTRY}
    return ShotTable(
        id=shared.uid,
        number=shared.number,
        at=shot.at,
        club=keys[shared.club],
        grip_down_m=shot.cell.grip_down_m,
        swing=shot.cell.swing,
        ball_number=shot.agenda_number,
        drill=shared.drill,
        stage=shared.stage,
        reading=shared.reading,
        target_m=shot.target_m,
        target_bearing_rad=shot.target_bearing_rad,
        ball=shot.ball,
        surface=shot.surface,
        seen=shot.seen,
        carry_is=shot.carry_origin,
        called_50_m=shot.called_50_m,
        called_80_m=shot.called_80_m,
        mark=None if shot.mark is None else shot.mark.value,
        source=shot.source.value,
        tags=list(shot.entry.tags),
        undone=shared.undone,
        **entry,
    )


def shared_of(result: ResultTable) -> SharedResult:
    """A result file's session as the store takes it."""
    clubs = {table.key: _club(table) for table in result.player.club}
    return SharedResult(
        alias=result.alias,
        handed_in_at=result.handed_in_at,
        player=_player(result.player, result.alias, result.age_band),
        session=_session(result, clubs),
    )


def _club(table: ClubTable) -> Club:
    return Club(table.name, table.loft_rad, table.length_m, table.stock_carry_m)


def _player(table: PlayerTable, alias: str, age_band: AgeBand | None) -> SharedPlayer:
    bag = Bag(tuple(_club(club) for club in table.club if not club.retired), tuple(table.grip_steps_m))
    profile = Profile(
        alias=alias,
        bag=bag,
        known_carry=KnownCarry(table.known_carry.club, table.known_carry.carry_m, table.known_carry.basis),
        units=UnitChoice(**{name: getattr(table.units, name) for name in UnitsTable.model_fields}),
        hand=table.hand,
        ball=table.ball,
        surface=table.surface,
        sees=table.sees,
        seen=table.seen,
        flags=tuple(RangeFlag(flag.name, flag.distance_m, flag.bearing_rad) for flag in table.flag),
        pin_depth_m=table.pin_depth_m,
        pin_width_m=table.pin_width_m,
        age_band=age_band,
    )
    return SharedPlayer(table.id, profile, table.as_of, tuple(_club(club) for club in table.club if club.retired))


def _session(result: ResultTable, clubs: Mapping[str, Club]) -> SharedSession:
    table = result.session
    return SharedSession(
        uid=table.id,
        session=NewSession(
            player_id=0,
            started_at=table.started_at,
            plan_id=table.plan,
            seed=table.seed,
            air=Air(table.air_temperature_k, table.air_pressure_pa, table.air_relative_humidity),
            air_stated=table.air_stated,
            turf=table.turf,
            note=table.note,
        ),
        ended_at=table.ended_at,
        readings=tuple(SharedReading(each.id, each.at, _wind(each)) for each in result.reading),
        shots=tuple(_shot(each, clubs[each.club]) for each in result.shot),
    )


def _wind(table: ReadingTable) -> Wind:
    return Wind(
        knowledge=table.knowledge,
        speed_mps=table.speed_mps,
        from_rad=table.from_rad,
        height_m=table.height_m,
        method=table.method,
        place=table.place,
        gust_mps=table.gust_mps,
    )


def _shot(table: ShotTable, club: Club) -> SharedShot:
    entry = ShotEntry(**{name: getattr(table, name) for name in _ENTRY}, tags=tuple(table.tags))
    return SharedShot(
        uid=table.id,
        number=table.number,
        shot=NewShot(
            at=table.at,
            cell=Cell(canonical_club(club.name), table.grip_down_m, table.swing),
            entry=entry,
            target_m=table.target_m,
            target_bearing_rad=table.target_bearing_rad,
            ball=table.ball,
            surface=table.surface,
            seen=table.seen,
            carry_origin=table.carry_is,
            agenda_number=table.ball_number,
            called_50_m=table.called_50_m,
            called_80_m=table.called_80_m,
            mark=None if table.mark is None else Mark(table.mark),
            source=Source(table.source),
        ),
        club=Specification.of(club),
        reading=table.reading,
        drill=table.drill,
        stage=table.stage,
        undone=table.undone,
    )
