"""What a typed ball says once it is held against the player's flags, habits and agenda."""

from __future__ import annotations

from dataclasses import replace

from trainer.application.conditions.stated import StatedConditions
from trainer.core.conditions import Seen
from trainer.core.errors import InputError
from trainer.core.profile import Profile, RangeFlag, Sees
from trainer.core.shot import ShotEntry
from trainer.store.records import AgendaBallRecord


def resolve_flag(entry: ShotEntry, profile: Profile) -> tuple[ShotEntry, RangeFlag | None]:
    """The entry with the distance that its flag offset comes to, and that flag; as it is where it names none.

    Raises InputError for a flag that is not known, and a place behind the player.
    """
    if entry.flag is None:
        return entry, None
    flag = profile.flag(entry.flag, entry.flag)
    distance_m = flag.distance_m + (entry.flag_offset_m or 0.0)
    if distance_m <= 0:
        raise InputError("that is behind the player", entry.flag, "check the offset from the flag")
    if profile.sees is Sees.FINISH:
        return replace(entry, total_m=distance_m), flag
    return replace(entry, carry_m=distance_m), flag


def seen_by(entry: ShotEntry, stated: StatedConditions, profile: Profile) -> Seen:
    """How the carry was seen: as stated, else as the player usually does; against a flag better than by eye alone."""
    if stated.seen is not None:
        return stated.seen
    return Seen.FLAG if entry.flag is not None and profile.seen is Seen.EYE else profile.seen


def target_of(ball: AgendaBallRecord | None, flag: RangeFlag | None) -> float | None:
    """How far the ball was aimed, m: the agenda's distance before the flag's; None where nothing was aimed at."""
    if ball is not None and ball.ball.target_m is not None:
        return ball.ball.target_m
    return None if flag is None else flag.distance_m
