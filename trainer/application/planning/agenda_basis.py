"""What the waiting balls of a session were planned from, as JSON text: enough to plan the rest anew after a pause."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pydantic import TypeAdapter, ValidationError

from trainer.core.bag import Cell
from trainer.core.conditions import Wind
from trainer.core.profile import AgeBand
from trainer.core.schedule.balls import Agenda, SwappedBlock
from trainer.core.schedule.block import Block
from trainer.store.records import NewBall

FORMAT = 1


@dataclass(frozen=True, slots=True)
class Basis:
    """The blocks that the balls come of, the swaps, what was said, and the state of things they were planned in.

    `open_blocks` are the places of the blocks that had balls to come, `shots` the shots recorded by then, `chosen`
    the balls that the player had put in place of others, by number.
    """

    format: int
    blocks: tuple[Block, ...]
    swaps: tuple[SwappedBlock, ...]
    notes: tuple[str, ...]
    age_band: AgeBand
    wind: Wind
    shots: int
    open_blocks: tuple[int, ...]
    chosen: tuple[tuple[int, Cell], ...]


_TEXT = TypeAdapter(Basis)


def basis_of(agenda: Agenda, balls: Sequence[NewBall], age_band: AgeBand, wind: Wind, shots: int) -> Basis:
    """The basis of `balls`, which are the agenda's as they wait in the store."""
    return Basis(
        format=FORMAT,
        blocks=agenda.blocks,
        swaps=agenda.swaps,
        notes=agenda.notes,
        age_band=age_band,
        wind=wind,
        shots=shots,
        open_blocks=tuple(sorted({ball.block for ball in balls if ball.block >= 0})),
        chosen=chosen_among(balls),
    )


def chosen_among(balls: Sequence[NewBall]) -> tuple[tuple[int, Cell], ...]:
    """The balls that the player put in place of others."""
    return tuple((ball.number, ball.cell) for ball in balls if ball.override)


def basis_text(basis: Basis) -> str:
    """`basis` as JSON that `read_basis` reads back."""
    return _TEXT.dump_json(basis).decode()


def read_basis(text: str) -> Basis | None:
    """The basis in `text`; None where another version of the program wrote it: that agenda stays as planned."""
    try:
        basis = _TEXT.validate_json(text)
    except ValidationError:
        return None
    return basis if basis.format == FORMAT else None
