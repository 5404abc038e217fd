"""A plan as typed text and back, and what the form says of it."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.application.planning.plan_draft import draft_of, raw_of
from trainer.application.planning.plan_form import look_at, open_form, save
from trainer.application.views.plan_form import BLOCK_KEYS, PLAN_KEYS, PlanDraft
from trainer.core.errors import InputError
from trainer.plan.collection import shipped_folder
from trainer.plan.model import Plan, PlanBlock
from trainer.plan.reading import load_plan, read_plan
from trainer.plan.writing import draft_to_toml

NOW = datetime(2026, 5, 14, 18, 30)
SHIPPED = sorted(shipped_folder().glob("*.toml"))
TEXTS = st.text(st.characters(blacklist_categories=("Cs", "Cc")), min_size=1, max_size=30).filter(
    lambda text: bool(text.strip())
)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_plan_read_into_the_form_and_written_is_the_same_plan(path: Path) -> None:
    plan = load_plan(path)
    raw, wrong = raw_of(draft_of(plan, str(path), shipped=True))
    assert wrong == ()
    assert read_plan(draft_to_toml(raw), "form") == plan


def test_a_long_list_is_written_over_several_lines() -> None:
    clubs = [f"{number} iron" for number in range(3, 10)] + ["pitching wedge", "gap wedge"]
    raw = {"block": [{"drill": "gapping round", "clubs": clubs, "swing": ["full", "half"]}]}
    text = draft_to_toml(raw)
    assert max(map(len, text.splitlines())) <= 80
    assert '\nswing = ["full", "half"]\n' in text
    assert tomllib.loads(text) == raw


def test_the_form_shows_every_key_but_those_it_keeps() -> None:
    keys = {field.alias or name for name, field in Plan.model_fields.items()}
    assert keys - set(PLAN_KEYS) == {"format", "block", "series", "levels"}
    assert {field.alias or name for name, field in PlanBlock.model_fields.items()} == set(BLOCK_KEYS)


@given(
    st.dictionaries(st.sampled_from(PLAN_KEYS), TEXTS),
    st.lists(st.dictionaries(st.sampled_from(BLOCK_KEYS), TEXTS), max_size=3),
)
def test_whatever_is_typed_is_toml_and_says_the_same(plan: dict[str, str], blocks: list[dict[str, str]]) -> None:
    raw, _ = raw_of(PlanDraft(plan, tuple(blocks)))
    read = tomllib.loads(draft_to_toml(raw))
    assert {**read, "block": read.get("block", [])} == raw


@given(
    st.dictionaries(st.sampled_from(PLAN_KEYS), TEXTS),
    st.lists(st.dictionaries(st.sampled_from(BLOCK_KEYS), TEXTS), max_size=3),
)
def test_whatever_is_typed_is_looked_at_with_every_problem_at_a_field_that_is_there(
    plan: dict[str, str], blocks: list[dict[str, str]]
) -> None:
    view = look_at(PlanDraft(plan, tuple(blocks)), None, NOW, [])
    assert set(view.places) == {*((None, key) for key in plan), *((n, k) for n, b in enumerate(blocks) for k in b)}
    for problem in view.problems:
        assert problem.words
        assert problem.block is None or problem.block < len(blocks)


def test_a_field_is_shown_at_its_line_of_the_file() -> None:
    form = open_form("first-windy-evening", [])
    view = look_at(form.draft, None, NOW, [])
    lines = view.toml.splitlines()
    assert lines[view.places[None, "title"]] == 'title = "First windy evening"'
    assert lines[view.places[1, "drill"]] == 'drill = "grip-down steps"'


def test_a_new_plan_gets_an_id_that_is_free(tmp_path: Path) -> None:
    first = open_form(None, [tmp_path])
    save(first.draft, [tmp_path])
    second = open_form(None, [tmp_path])
    assert second.draft.plan["id"] != first.draft.plan["id"]
    save(second.draft, [tmp_path])
    assert len(list(tmp_path.glob("*.toml"))) == 2


def test_another_plans_id_is_refused_and_a_changed_id_makes_another_file(tmp_path: Path) -> None:
    one, _ = save(open_form(None, [tmp_path]).draft, [tmp_path])
    other = open_form(None, [tmp_path]).draft
    with pytest.raises(InputError):
        save(replace(other, plan={**other.plan, "id": "my-plan"}), [tmp_path])
    before = one.read_text(encoding="utf-8")
    draft = open_form("my-plan", [tmp_path]).draft
    path, kept = save(replace(draft, plan={**draft.plan, "id": "windy"}), [tmp_path])
    assert path.stem == "windy"
    assert kept.source == str(path)
    assert one.read_text(encoding="utf-8") == before


def test_an_extended_plan_is_looked_at_with_what_it_extends(tmp_path: Path) -> None:
    draft = PlanDraft(
        {"id": "shorter", "title": "Shorter", "level": "club", "balls": "30", "minutes": "40",
         "extends": "first-windy-evening"}, ()
    )  # fmt: skip
    assert look_at(draft, None, NOW, [tmp_path]).problems == ()
    wrong = look_at(replace(draft, plan={**draft.plan, "extends": "nothing"}), None, NOW, [tmp_path])
    assert [problem.key for problem in wrong.problems] == ["extends"]
