from __future__ import annotations

from datetime import date, datetime

import pytest

from trainer.core.errors import InputError
from trainer.core.profile import AgeBand
from trainer.exchange.assignment_file import Assignment, read_assignment, text_hash, write_assignment

PLAN = 'format = 1\nid = "a-plan-3f9a1c2d"\n'
ASSIGNMENT = Assignment(
    id="3f9a1c2d00000000",
    alias="kestrel",
    age_band=AgeBand.FROM_14,
    plan="a-plan-3f9a1c2d",
    title="A plan = [bold]",
    assigned_at=datetime(2026, 5, 14, 18, 30),
    due=date(2026, 5, 21),
    plan_sha256=text_hash(PLAN),
)
TEXT = write_assignment(ASSIGNMENT)


def test_what_is_written_is_read_back() -> None:
    assert read_assignment(TEXT, PLAN, "a") == ASSIGNMENT
    assert read_assignment(TEXT, PLAN.replace("\n", "\r\n"), "a") == ASSIGNMENT


@pytest.mark.parametrize(
    ("text", "plan"),
    [
        (TEXT, PLAN + "balls = 300\n"),
        (TEXT.replace("format = 1", "format = 2"), PLAN),
        (TEXT + 'file = "../../a"\n', PLAN),
        (TEXT.replace("a-plan-3f9a1c2d", "../a-plan"), PLAN),
        (TEXT.replace("kestrel", "kes\\u001b[2Jtrel"), PLAN),
        (TEXT.replace("assignment", "result"), PLAN),
        ("", PLAN),
    ],
)
def test_what_is_not_as_it_was_assigned_is_refused(text: str, plan: str) -> None:
    with pytest.raises(InputError) as caught:
        read_assignment(text, plan, "a")
    assert str(caught.value).isprintable()
