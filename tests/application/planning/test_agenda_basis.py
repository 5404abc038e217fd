"""What an agenda was planned from: kept as text and read again without loss."""

from __future__ import annotations

import json
import math

from hypothesis import given
from hypothesis import strategies as st

from trainer.application.planning.agenda_basis import Basis, basis_of, basis_text, read_basis
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import GREATEST_WIND_MPS, Wind, WindKnowledge
from trainer.core.profile import AgeBand, RangeFlag
from trainer.core.schedule.balls import Agenda, SwappedBlock
from trainer.core.schedule.block import Block
from trainer.core.schedule.drill_kind import Fit
from trainer.core.schedule.stages import Stage
from trainer.core.schedule.wind_gate import WindFrom, WindGate
from trainer.store.records import NewBall

LOW = Cell("7 iron", 0.0254, Swing.THREE_QUARTER)
finite = st.floats(0.1, 300.0)
flags = st.builds(RangeFlag, st.sampled_from(("red", "blue")), finite, st.floats(-1.5, 1.5))
gates = st.builds(
    WindGate,
    along_at_least_mps=st.floats(0, 20),
    speed_at_most_mps=st.floats(0, GREATEST_WIND_MPS),
    gust_at_most_mps=st.none() | finite,
    quarter=st.none() | st.sampled_from(WindFrom),
)
blocks = st.builds(
    Block,
    drill=st.sampled_from(("club-down ladder", "grip-down steps")),
    clubs=st.lists(st.sampled_from(("7 iron", "8 iron")), min_size=1, max_size=2).map(tuple),
    balls=st.integers(1, 40),
    grips_m=st.lists(finite, max_size=3).map(tuple),
    swings=st.lists(st.sampled_from(Swing), max_size=3).map(tuple),
    fit=st.none() | st.sampled_from(Fit),
    target=st.none() | finite | st.just(LOW),
    stage=st.none() | st.sampled_from(Stage),
    gate=st.none() | gates,
    flag=st.none() | flags,
    flags=st.lists(flags, max_size=2).map(tuple),
    cells=st.sampled_from(((), (LOW,))),
    reason=st.text(max_size=20),
)
winds = st.builds(
    Wind,
    st.sampled_from(WindKnowledge),
    speed_mps=st.floats(0, 30),
    from_rad=st.floats(0, math.tau, exclude_max=True),
    gust_mps=st.none() | st.floats(0, 40),
)
bases = st.builds(
    Basis,
    format=st.just(1),
    blocks=st.lists(blocks, max_size=3).map(tuple),
    swaps=st.lists(st.builds(SwappedBlock, *[st.text(max_size=9)] * 4), max_size=2).map(tuple),
    notes=st.lists(st.text(max_size=30), max_size=3).map(tuple),
    age_band=st.sampled_from(AgeBand),
    wind=winds,
    shots=st.integers(0, 300),
    open_blocks=st.lists(st.integers(0, 9), max_size=4).map(tuple),
    chosen=st.sampled_from(((), ((3, LOW), (9, Cell("9 iron"))))),
)


@given(bases)
def test_a_basis_is_read_as_it_was_written(basis: Basis) -> None:
    text = basis_text(basis)
    assert read_basis(text) == basis
    json.loads(text)


def test_a_basis_knows_its_open_blocks_and_the_players_own_balls() -> None:
    balls = [
        NewBall(1, "warm-up", LOW, "warm-up", "r"),
        NewBall(2, "low window", LOW, "settle", "r", block=0),
        NewBall(3, "grip-down steps", Cell("9 iron"), "step", "r", block=2, override="my wrist"),
    ]
    basis = basis_of(Agenda(()), balls, AgeBand.ADULT, Wind(WindKnowledge.CALM), 4)
    assert (basis.open_blocks, basis.chosen, basis.shots) == ((0, 2), ((3, Cell("9 iron")),), 4)


def test_what_another_version_wrote_is_left_alone() -> None:
    basis = basis_of(Agenda(()), [], AgeBand.ADULT, Wind(WindKnowledge.CALM), 0)
    other = json.loads(basis_text(basis)) | {"format": 2}
    assert read_basis(json.dumps(other)) is None
    assert read_basis("{}") is None
    assert read_basis("[") is None
