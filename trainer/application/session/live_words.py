"""The next ball and the last shots in a player's words."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from trainer.application.session.typed_check import entry_words, zone_words
from trainer.application.views.practice import BallView, ShotRow, harmless
from trainer.core.bag import Bag, Cell, Swing
from trainer.core.conditions import Wind
from trainer.core.profile import Profile
from trainer.core.schedule.prompts import wind_notes
from trainer.core.units import UnitChoice, change_from_si, from_si, whole
from trainer.exchange.cell_text import print_cell
from trainer.exchange.typed_shot import print_typed_shot
from trainer.store.records import NewBall, OwnCall, ShotRecord

SWING_WORDS = {
    Swing.FULL: "full swing, hands finish head-high",
    Swing.THREE_QUARTER: "three-quarter swing, hands finish shoulder-high",
    Swing.HALF: "half swing, hands finish chest-high",
}
_ORDER = tuple(Swing)
"""From the longest swing to the shortest."""


def planned_title(plan_id: str | None) -> str:
    """A plan's id as a title: the plan itself may have changed since the session began."""
    return "Free practice" if plan_id is None else plan_id.replace("-", " ").capitalize()


def short_cell(cell: Cell, units: UnitChoice) -> str:
    """As it is typed, shorter still: `7 iron, 1 in, 3/4`."""
    return print_cell(cell, units).replace(Swing.THREE_QUARTER, "3/4")


def stamp(club: str) -> str:
    """A club's name as short as it is stamped on the sole: `7 iron` is `7 I`, `pitching wedge` is `PW`."""
    words = club.split()
    if len(words) == 2 and words[1] == "wedge":
        return f"{words[0][0]}W".upper()
    if len(words) == 2 and words[0].isdigit():
        return f"{words[0]} {words[1][0]}".upper()
    return club[:6].upper()


def ball_view(ball: NewBall, before: Cell | None, profile: Profile, alike: int) -> BallView:
    """The ball to hit. `before` is the cell of the last shot, `alike` how many of the same shot follow each other."""
    units, cell = profile.units, ball.cell
    distance = "" if ball.target_m is None else whole(from_si(ball.target_m, units.distance))
    return BallView(
        number=ball.number,
        drill=harmless(ball.drill),
        stage=ball.stage,
        club=harmless(cell.club),
        stamp=harmless(stamp(cell.club)),
        grip=f"grip down {units.shown_grip(cell.grip_down_m)}" if cell.grip_down_m else "normal grip",
        swing=SWING_WORDS[cell.swing],
        distance=distance,
        aim=_aim(ball, units),
        change=change_words(cell, before, profile.bag),
        cue=harmless(ball.cue),
        reason=harmless(ball.reason),
        repeat=alike,
        called=called_words(ball, units),
    )


def called_words(ball: NewBall, units: UnitChoice) -> str:
    """`called: 8 in 10 land 128–146 yd, half 132–141`; empty where nothing was called."""
    if ball.called_50_m is None or ball.called_80_m is None:
        return ""
    (low80, high80), (low50, high50) = (
        (whole(from_si(low_m, units.distance)), whole(from_si(high_m, units.distance)))
        for low_m, high_m in (ball.called_80_m, ball.called_50_m)
    )
    return f"called: 8 in 10 land {low80}–{high80} {units.distance}, half {low50}–{high50}"


def next_ball_words(ball: NewBall, units: UnitChoice) -> str:
    """The ball to hit in a line: `ball 12: 7 iron, 1 in, three-quarter; land it at 130 yd; called: 8 in 10 …`."""
    parts = [harmless(print_cell(ball.cell, units)), _aim(ball, units), called_words(ball, units)]
    return f"Ball {ball.number}: {'; '.join(part for part in parts if part)}"


def _aim(ball: NewBall, units: UnitChoice) -> str:
    flag = "" if ball.flag is None else f"the {harmless(ball.flag)} flag"
    if ball.target_m is None:
        return f"to {flag}" if flag else "no target"
    distance = units.shown_distance(ball.target_m)
    return f"land it at {distance}" + (f", line on {flag}" if flag else "")


def change_words(cell: Cell, before: Cell | None, bag: Bag) -> str:
    """What differs from the last shot: `longer club, smaller swing`. Before the first, what the shot is."""
    if before is None:
        return "the stock shot" if cell.is_stock else "a low shot: easier, not harder"
    if cell == before:
        return "the same shot again"
    names = [club.name for club in bag.clubs]
    parts = []
    if cell.club != before.club and before.club in names and cell.club in names:
        longer = names.index(cell.club) < names.index(before.club)
        parts.append("longer club" if longer else "shorter club")
    if cell.swing is not before.swing:
        smaller = _ORDER.index(cell.swing) > _ORDER.index(before.swing)
        parts.append("smaller swing" if smaller else "longer swing")
    if cell.grip_down_m != before.grip_down_m:
        parts.append("hands further down" if cell.grip_down_m > before.grip_down_m else "hands further up")
    return ", ".join(parts) or "another club"


def wind_warning(wind: Wind, profile: Profile) -> str:
    """The gravest of what a wind past the limits calls for; empty for one that is not."""
    junior = profile.age_band is not None and profile.age_band.is_junior
    return next(iter(wind_notes(wind, profile.units, junior=junior)), "")


def heard_words(shot: ShotRecord, units: UnitChoice) -> str:
    """The big repeat-back: `142  6 LEFT`, `SHORT LEFT`, `MISHIT`."""
    entry = shot.entry
    parts = []
    distance_m = entry.carry_m if entry.carry_m is not None else entry.total_m
    if distance_m is not None:
        parts.append(whole(from_si(distance_m, units.distance)))
    if entry.side_m is not None:
        side = whole(abs(change_from_si(entry.side_m, units.distance)))
        parts.append("ON LINE" if side == "0" else f"{side} {'LEFT' if entry.side_m < 0 else 'RIGHT'}")
    if entry.depth is not None or entry.width is not None:
        parts.append(zone_words(entry.depth, entry.width).upper())
    if entry.mishit:
        parts.append("MISHIT")
    if entry.unseen:
        parts.append("NOT SEEN")
    return "  ".join(parts)


def shot_rows(
    shots: Sequence[ShotRecord],
    profile: Profile,
    corrected: Collection[int],
    hidden: Collection[int],
    said: Sequence[OwnCall] = (),
) -> tuple[ShotRow, ...]:
    """The shots of a session, newest first. `corrected` holds ids, `hidden` numbers of the agenda's balls."""
    carries_m = {each.shot_id: each.carry_m for each in said if each.carry_m is not None}
    rows = []
    for shot in reversed(shots):
        marks = [str(shot.mark)] if shot.mark is not None else []
        if shot.id in corrected:
            marks.append("corrected")
        if (carry_m := carries_m.get(shot.id)) is not None:
            marks.append(f"you said {whole(from_si(carry_m, profile.units.distance))}")
        rows.append(
            ShotRow(
                id=shot.id,
                number=shot.number,
                cell=harmless(short_cell(shot.cell, profile.units)),
                words=harmless(print_typed_shot(shot.entry, profile.units, profile.sees)),
                said=_beside_target(shot, profile.units) or harmless(entry_words(shot.entry, profile.units)),
                marks=", ".join(marks),
                hidden=shot.agenda_number in hidden,
            )
        )
    return tuple(rows)


def _beside_target(shot: ShotRecord, units: UnitChoice) -> str:
    """`8 yd short, 6 yd left`, where a carry and a target are known; empty otherwise."""
    entry = shot.entry
    if entry.carry_m is None or shot.target_m is None:
        return ""
    off = round(change_from_si(entry.carry_m - shot.target_m, units.distance))
    said = ["pin-high" if off == 0 else f"{abs(off)} {units.distance} {'short' if off < 0 else 'long'}"]
    if entry.side_m is not None:
        side = round(change_from_si(entry.side_m, units.distance))
        said.append("on line" if side == 0 else f"{abs(side)} {units.distance} {'left' if side < 0 else 'right'}")
    if entry.mishit:
        said.append("mishit")
    return ", ".join(said)
