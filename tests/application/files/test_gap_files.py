from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st

from trainer.application.files.gap_files import gaps_markdown, markdown
from trainer.core.units import UnitChoice
from trainer.exchange.export_table import GapRow

YARD_M = 0.9144
ROW = GapRow(
    "7 iron", 0.0254, "half", 100 * YARD_M, 90 * YARD_M, 110 * YARD_M, 95 * YARD_M, 88.6 * YARD_M, 101.4 * YARD_M,
    6 * YARD_M, 20.0, 5.0, 9, 2, "working", 0.4,
)  # fmt: skip


def test_a_row_says_medians_intervals_and_trust_in_the_players_units() -> None:
    text = gaps_markdown([ROW], UnitChoice(), "Gaps", ["one note"])
    assert "| 7 iron, 1 in down, half | 100 (90–110) | 95 (89–101) | 6 | 9 | working |" in text.splitlines()
    metric = gaps_markdown([ROW], UnitChoice.following("m"), "Gaps", [])
    assert "| 7 iron, 2.5 cm down, half | 91 (82–101) | 87 (81–93) | 5 | 9 | working |" in metric.splitlines()
    assert text.splitlines()[-1] == "- one note"


@given(st.text(max_size=40))
def test_no_text_leaves_its_cell_or_becomes_a_mark(text: str) -> None:
    written = markdown(text)
    assert "\n" not in written
    assert re.search(r"(?<!\\)(?:\\\\)*[|<>*_`\[\]~&]", written) is None
    shown = re.sub(r"\\(.)", r"\1", written)
    assert shown == "".join(letter if letter.isprintable() else " " for letter in text)
