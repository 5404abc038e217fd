"""A block of an agenda as it is asked for, and the shots it comes to for one player."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from trainer.core.bag import Bag, Cell, Swing
from trainer.core.errors import InputError
from trainer.core.profile import RangeFlag
from trainer.core.schedule.aim import Aim
from trainer.core.schedule.drill_kind import DrillKind, Fit
from trainer.core.schedule.drills import drill_named
from trainer.core.schedule.stages import Stage
from trainer.core.schedule.wind_gate import WindGate
from trainer.core.units import UnitChoice

RUNG_TOLERANCE = 0.06
"""How far from the target, as a fraction of it, a rung's expected carry may be (common practice, no source)."""

CarryOf = Callable[[Cell], float]
"""What a cell is expected to carry in the session's conditions, m."""


@dataclass(frozen=True, slots=True)
class Block:
    """A drill with its clubs, before it is fitted to the player and the wind.

    Empty `grips_m` and `swings`, and a `stage` or `fit` of None, mean the drill's own. `target` is a distance in
    metres, or a cell for "what that shot is expected to carry", or None: each shot's own expected carry.
    `flag` fixes the target and the line; `flags` are those to aim at when the nearest will do. `cells` name the shots
    themselves in place of clubs, grips and swings, and `reason` goes before the drill's own sentence. `added` marks
    a block that the session has beside its plan: what it is to be hit at is not the plan's to say. `aim` is what it
    is to reach.
    """

    drill: str
    clubs: tuple[str, ...]
    balls: int
    grips_m: tuple[float, ...] = ()
    swings: tuple[Swing, ...] = ()
    fit: Fit | None = None
    target: float | Cell | None = None
    stage: Stage | None = None
    gate: WindGate | None = None
    flag: RangeFlag | None = None
    flags: tuple[RangeFlag, ...] = ()
    cue: str = ""
    note: str = ""
    cells: tuple[Cell, ...] = ()
    reason: str = ""
    added: bool = False
    aim: Aim | None = None

    @property
    def kind(self) -> DrillKind:
        """The drill's definition; raises InputError where its name is unknown."""
        return drill_named(self.drill)

    @property
    def title(self) -> str:
        """`club-down ladder with 8 iron, 7 iron`."""
        return f"{self.kind.name} with {', '.join(self.clubs)}"


@dataclass(frozen=True, slots=True)
class Shots:
    """The shots of a block and what each is aimed to carry, m; `refused` says in words which clubs were left out."""

    cells: tuple[Cell, ...]
    targets_m: tuple[float, ...]
    refused: tuple[str, ...] = ()


def shot_in_words(cell: Cell, units: UnitChoice) -> str:
    """`7 iron, 1 in down, three-quarter swing`; a stock shot is `7 iron, full swing`."""
    grip = f", {units.shown_grip(cell.grip_down_m)} down" if cell.grip_down_m else ""
    return f"{cell.club}{grip}, {cell.swing.value} swing"


def shots_of(block: Block, bag: Bag, carry_of: CarryOf, units: UnitChoice) -> Shots:
    """Fit `block` to the player: his clubs, grips and swings, and for a fitted drill the rungs that reach.

    Raises InputError for a club that is not in the bag and for a carry that is no distance.
    """
    kind = block.kind
    if block.cells:
        target_m = block.flag.distance_m if block.flag else None
        own = tuple(expected_m(cell, carry_of) if target_m is None else target_m for cell in block.cells)
        return Shots(block.cells, own)
    fit = block.fit or kind.fit
    target_m = _target_m(block, bag, carry_of, fitted=fit is not None)
    if fit is None or target_m is None:
        cells = _all_cells(block, bag, fit)
        targets = tuple(target_m if target_m is not None else expected_m(cell, carry_of) for cell in cells)
        return Shots(cells, targets)
    return _rungs(block, bag, fit, target_m, carry_of, units)


def unreachable_rungs(block: Block, bag: Bag, carry_of: CarryOf, units: UnitChoice) -> tuple[str, ...]:
    """Which clubs of a fitted block cannot carry its target without hitting harder (or swing too long for it)."""
    return shots_of(block, bag, carry_of, units).refused


def expected_m(cell: Cell, carry_of: CarryOf) -> float:
    """`carry_of(cell)` if it is a distance, else InputError."""
    carry_m = float(carry_of(cell))
    if not (math.isfinite(carry_m) and carry_m > 0):
        raise InputError(f"no carry is known for {cell.club}", "agenda", "check the club's carry in the bag")
    return carry_m


def _target_m(block: Block, bag: Bag, carry_of: CarryOf, *, fitted: bool) -> float | None:
    if isinstance(block.target, Cell):
        return expected_m(block.target, carry_of)
    if block.target is not None:
        return block.target
    if block.flag is not None:
        return block.flag.distance_m
    return expected_m(Cell(bag.club(block.clubs[0]).name), carry_of) if fitted else None


def _all_cells(block: Block, bag: Bag, fit: Fit | None) -> tuple[Cell, ...]:
    kind = block.kind
    own_grips = kind.grips_m if kind.grips_m is not None else bag.grip_steps_m
    grips_m = block.grips_m or (bag.grip_steps_m if fit and fit.grip else own_grips)
    swings = block.swings or (tuple(Swing) if fit and fit.swing else kind.swings)
    cells = (
        Cell(bag.club(club, block.title).name, grip_m, swing)
        for club in block.clubs
        for grip_m in grips_m
        for swing in swings
    )
    return tuple(dict.fromkeys(cells))


def _rungs(block: Block, bag: Bag, fit: Fit, target_m: float, carry_of: CarryOf, units: UnitChoice) -> Shots:
    by_club: dict[str, list[tuple[float, Cell]]] = {}
    for cell in _all_cells(block, bag, fit):
        by_club.setdefault(cell.club, []).append((expected_m(cell, carry_of), cell))
    rungs, refused = [], []
    for club, choices in by_club.items():
        carry_m, cell = min(choices, key=lambda choice: abs(choice[0] - target_m))
        if abs(carry_m - target_m) <= RUNG_TOLERANCE * target_m:
            rungs.append(cell)
        else:
            refused.append(_refusal(club, carry_m, target_m, units))
    return Shots(tuple(rungs), (target_m,) * len(rungs), tuple(refused))


def _refusal(club: str, carry_m: float, target_m: float, units: UnitChoice) -> str:
    carry, target = units.shown_distance(carry_m), units.shown_distance(target_m)
    if carry_m < target_m:
        return f"{club} is left out: about {carry} is its most, and {target} would mean hitting harder"
    return f"{club} is left out: its smallest swing still carries about {carry}, past {target}"
