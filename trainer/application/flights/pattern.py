"""Where the balls of one shot came down: carry against side, as seen, with the middle and the spread in words."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import replace

from trainer.application.evidence.history import local
from trainer.application.views.axis import Axis
from trainer.application.views.look import PatternPoint, PatternView
from trainer.core.units import UnitChoice, change_from_si, from_si, whole
from trainer.store.records import ShotRecord

LAST, EARLIER, MISHIT = "last day", "earlier", "mishit"
NEWEST, BEFORE = "last ball", "before"
FEWEST_FOR_SPREAD = 4


def pattern_of(shots: Sequence[ShotRecord], units: UnitChoice) -> PatternView | None:
    """The balls with a carry and a side, oldest first; None where there is none."""
    seen = _seen(shots)
    last_day = local(seen[-1].at).date() if seen else None
    kinds = [MISHIT if shot.entry.mishit else LAST if local(shot.at).date() == last_day else EARLIER for shot in seen]
    return _pattern(seen, kinds, units, None)


def session_pattern(shots: Sequence[ShotRecord], target_m: float | None, units: UnitChoice) -> PatternView | None:
    """A session's balls of one shot, oldest first, and the target; None where none has a carry and a side."""
    seen = _seen(shots)
    newest = shots[-1] if shots else None
    kinds = [MISHIT if shot.entry.mishit else NEWEST if shot is newest else BEFORE for shot in seen]
    return _pattern(seen, kinds, units, target_m)


def _seen(shots: Sequence[ShotRecord]) -> list[ShotRecord]:
    return [shot for shot in shots if shot.entry.carry_m is not None and shot.entry.side_m is not None]


def _pattern(
    seen: Sequence[ShotRecord], kinds: Sequence[str], units: UnitChoice, target_m: float | None
) -> PatternView | None:
    if not seen:
        return None
    places = [
        (change_from_si(shot.entry.side_m or 0.0, units.distance), from_si(shot.entry.carry_m or 0.0, units.distance))
        for shot in seen
    ]
    target = None if target_m is None else from_si(target_m, units.distance)
    widest = max(10.0, *(1.1 * abs(side) for side, _ in places))
    away = Axis.around([*(carry for _, carry in places), *([] if target is None else [target])], least=20.0)
    across = Axis(-widest, widest)
    return PatternView(
        points=tuple(
            PatternPoint(across.share(side), away.share(carry), kind)
            for (side, carry), kind in zip(places, kinds, strict=True)
        ),
        across=tuple(replace(tick, word=side_word(tick.word)) for tick in across.ticks(5)),
        away=away.ticks(5, units.distance),
        line=across.share(0.0),
        sentences=_sentences([place for place, kind in zip(places, kinds, strict=True) if kind != MISHIT], units),
        target=None if target is None else away.share(target),
    )


def side_word(number: str) -> str:
    """A side as it is typed, `10R`, from a number that is positive to the right."""
    if number == "0":
        return number
    return f"{number[1:]}L" if number.startswith("-") else f"{number}R"


def _sentences(struck: Sequence[tuple[float, float]], units: UnitChoice) -> tuple[str, ...]:
    if not struck:
        return ("Every ball with a side was a mishit.",)
    sides, carries = [side for side, _ in struck], [carry for _, carry in struck]
    middle = statistics.median(sides)
    where = "on the line" if round(middle) == 0 else f"{whole(abs(middle))} {'right' if middle > 0 else 'left'} of it"
    left, right = (sum(sign * round(side) > 0 for side in sides) for sign in (-1, 1))
    said = [
        f"{len(struck)} struck balls as seen, in all winds: carry in the middle "
        f"{whole(statistics.median(carries))} {units.distance}, side {where}; {left} left, {right} right."
    ]
    if len(struck) >= FEWEST_FOR_SPREAD:
        wide, deep = (statistics.stdev(values) for values in (sides, carries))
        said.append(f"Spread (one s.d.): {whole(wide)} across, {whole(deep)} along.")
    return tuple(said)
