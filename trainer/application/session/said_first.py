"""What the player says before he knows, while a session runs: when he is asked for it, and how it came out."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from trainer.application.views.practice import WindView
from trainer.core.conditions import Wind, WindKnowledge, clock_hour, turned_by_rad
from trainer.core.units import UnitChoice, change_from_si, from_si
from trainer.store.records import NewBall, OwnCall, ReadingRecord, ShotRecord

SAY_IT_FIRST, READ_THE_WIND = "say it first", "read the wind"
SAY, GUESS, READ = "say", "guess", "wind"
"""What a ball of those drills begins with: the first word of the line to type."""

HIDDEN_WIND = WindView(
    known=False,
    blows=False,
    from_rad=0.0,
    beaufort=0,
    speed="the wind is yours to read",
    gust="",
    direction="",
    strength="guess its speed and where it comes from; the last reading is shown then",
    source="",
)
"""What stands in the wind's place while it is to be guessed."""

MOST_SHOWN = 3


@dataclass(frozen=True, slots=True)
class Asked:
    """What the next ball asks to be said first: one of `SAY`, `GUESS` and `READ`, empty for nothing."""

    word: str = ""

    @property
    def hides_wind(self) -> bool:
        """Whether the wind is not shown yet."""
        return self.word == GUESS


def said_words(call: OwnCall, units: UnitChoice) -> str:
    """`you said 140 yd for the next ball`, `you guessed 12 mph from 1h`."""
    if call.carry_m is not None:
        return f"you said {units.shown_distance(call.carry_m)} for the next ball"
    speed_mps = call.wind_mps or 0.0
    if speed_mps == 0:
        return "you guessed no wind"
    return f"you guessed {units.shown_speed(speed_mps)} from {clock_hour(call.wind_from_rad or 0.0)}h"


def asked_for(
    ball: NewBall | None, said: Sequence[OwnCall], shots: Sequence[ShotRecord], guessed_at: int | None
) -> Asked:
    """What the next ball asks for. `said` and `shots` are the session's; `guessed_at`: balls before the guess."""
    if ball is None:
        return Asked()
    if ball.drill == SAY_IT_FIRST:
        return Asked("" if carry_waits(said, shots) else SAY)
    if ball.drill != READ_THE_WIND:
        return Asked()
    guesses = [each for each in said if each.wind_mps is not None]
    if guesses and guesses[-1].reading_id is None:
        return Asked(READ)
    return Asked("" if guessed_at == len(shots) else GUESS)


def carry_waits(said: Sequence[OwnCall], shots: Sequence[ShotRecord]) -> bool:
    """Whether a carry was said of the ball to come. One whose ball was taken back waits again."""
    carries = [each for each in said if each.carry_m is not None]
    return bool(carries) and carries[-1].shot_id not in {shot.id for shot in shots}


def said_beside(shot: ShotRecord, said: Sequence[OwnCall], units: UnitChoice) -> str:
    """`you said 140 yd: it went 2 yd farther`; empty where nothing was said of the ball, or it was not seen."""
    call = next((each for each in reversed(said) if each.shot_id == shot.id and each.carry_m is not None), None)
    if call is None or call.carry_m is None:
        return ""
    words = f"you said {units.shown_distance(call.carry_m)}"
    there_m = shot.entry.carry_m or shot.entry.total_m
    if there_m is None:
        return words
    off = round(change_from_si(there_m - call.carry_m, units.distance))
    if off == 0:
        return f"{words}: so it went"
    return f"{words}: it went {abs(off)} {units.distance} {'farther' if off > 0 else 'shorter'}"


def guess_beside(reading: ReadingRecord, said: Sequence[OwnCall], units: UnitChoice) -> str:
    """`you guessed 12 mph from 1h: 2 mph too little, 30° off`; empty where it was not guessed, or is not known."""
    call = next((each for each in reversed(said) if each.reading_id == reading.id), None)
    if call is None or call.wind_mps is None or reading.wind.knowledge is WindKnowledge.UNKNOWN:
        return ""
    return f"{said_words(call, units)}: {_wind_off(call, reading.wind, units)}"


def _wind_off(call: OwnCall, wind: Wind, units: UnitChoice) -> str:
    off = round(from_si((call.wind_mps or 0.0) - wind.speed_mps, units.speed))
    said = f"{abs(off)} {units.speed} too {'much' if off > 0 else 'little'}" if off else "the speed is right"
    if not call.wind_mps or not wind.speed_mps:
        return said
    degrees = round(abs(math.degrees(turned_by_rad(call.wind_from_rad or 0.0, wind.from_rad))))
    return f"{said}, {degrees}° off" if degrees else f"{said}, and so is where it comes from"


def call_lines(
    said: Sequence[OwnCall],
    shots: Sequence[ShotRecord],
    readings: Sequence[ReadingRecord],
    units: UnitChoice,
    hidden: Collection[int] = (),
) -> tuple[str, ...]:
    """The session's last calls against what came, newest first; `hidden` are numbers of balls not to be told of."""
    held = {shot.id: shot for shot in shots if shot.agenda_number not in hidden}
    read = {reading.id: reading for reading in readings}
    lines = []
    for each in reversed(said):
        if each.shot_id in held:
            lines.append(f"{held[each.shot_id].number}: {said_beside(held[each.shot_id], said, units)}")
        elif each.reading_id in read:
            lines.append(guess_beside(read[each.reading_id], said, units))
    return tuple(line for line in lines if line)[:MOST_SHOWN]
