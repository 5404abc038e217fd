"""Plans found by id, extended, broken beside good ones, and varied by level."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import trainer
from tests.examples import examples
from tests.plan.examples import GOOD, plans
from trainer.core.errors import InputError
from trainer.plan.collection import check_file, find_plan, plan_for, read_library, shipped_folder, shipped_plans
from trainer.plan.model import LEVELS, Plan
from trainer.plan.reading import PlanErrors, read_plan
from trainer.plan.skeleton import new_plan_text


def write(folder: Path, plan_id: str, extra: str = "", body: str = GOOD) -> Path:
    path = folder / f"{plan_id}.toml"
    path.write_text(extra + body.replace('"first-windy-evening"', f'"{plan_id}"'), encoding="utf-8")
    return path


def child(folder: Path, plan_id: str, parent: str, rest: str = "") -> Path:
    path = folder / f"{plan_id}.toml"
    head = f'format = 1\nid = "{plan_id}"\ntitle = "Child"\nlevel = "club"\nballs = 40\nminutes = 40\n'
    path.write_text(f'{head}extends = "{parent}"\n{rest}', encoding="utf-8")
    return path


def test_a_broken_plan_does_not_hide_the_good_ones(tmp_path: Path) -> None:
    write(tmp_path, "mine")
    (tmp_path / "broken.toml").write_text("balls = ", encoding="utf-8")
    library = read_library([tmp_path])
    assert "mine" in library.plans
    assert len(library.plans) == len(shipped_plans()) + 1
    assert [line.startswith(str(tmp_path / "broken.toml")) for line in library.errors] == [True]
    with pytest.raises(PlanErrors):
        find_plan("broken", [tmp_path])
    assert find_plan("mine", [tmp_path]).id == "mine"


def test_a_missing_folder_is_an_empty_one(tmp_path: Path) -> None:
    assert read_library([tmp_path / "none"]).errors == ()


def test_an_own_plan_goes_before_a_shipped_one(tmp_path: Path) -> None:
    path = write(tmp_path, "grip-down-gapping")
    path.write_text(path.read_text(encoding="utf-8").replace("First windy evening", "Mine"), encoding="utf-8")
    assert find_plan("grip-down-gapping", [tmp_path]).title == "Mine"
    assert find_plan("grip-down-gapping").title != "Mine"


def test_an_own_plan_that_cannot_be_filled_in_is_told_though_a_shipped_one_has_its_id(tmp_path: Path) -> None:
    path = child(tmp_path, "grip-down-gapping", "nothing-like-it")
    with pytest.raises(PlanErrors) as refused:
        find_plan("grip-down-gapping", [tmp_path])
    assert [line.startswith(f"{path}:") for line in refused.value.lines] == [True]


def test_two_own_plans_of_one_id_are_told(tmp_path: Path) -> None:
    write(tmp_path, "mine")
    shutil.copy(tmp_path / "mine.toml", tmp_path / "other.toml")
    library = read_library([tmp_path])
    assert "mine" in library.plans
    assert any("other.toml:2: id: " in line for line in library.errors)


def test_an_unknown_id_names_the_known_ones() -> None:
    with pytest.raises(InputError, match="first-windy-evening"):
        find_plan("nothing-like-it")


def test_a_plan_takes_what_it_does_not_say_from_the_one_it_extends(tmp_path: Path) -> None:
    write(tmp_path, "parent")
    child(tmp_path, "child", "parent")
    child(tmp_path, "grandchild", "child", '[[block]]\ndrill = "low window"\nclubs = ["7 iron"]\nballs = 9\n')
    plan, parent = find_plan("child", [tmp_path]), find_plan("parent", [tmp_path])
    assert (plan.title, plan.balls, plan.wind, plan.block) == ("Child", 40, parent.wind, parent.block)
    grandchild = find_plan("grandchild", [tmp_path])
    assert [block.drill for block in grandchild.block] == ["low window"]
    assert grandchild.wind == parent.wind


def test_blocks_that_are_taken_over_shrink_to_fewer_balls(tmp_path: Path) -> None:
    write(tmp_path, "parent")
    path = child(tmp_path, "child", "parent")
    text = path.read_text(encoding="utf-8").replace("balls = 40", "balls = 11")
    path.write_text(text, encoding="utf-8")
    assert [block.balls for block in find_plan("child", [tmp_path]).block] == [5, 6]


def test_circles_and_missing_parents_are_told_and_hide_nothing(tmp_path: Path) -> None:
    child(tmp_path, "one", "two")
    child(tmp_path, "two", "one")
    lost = child(tmp_path, "lost", "nowhere")
    write(tmp_path, "good")
    library = read_library([tmp_path])
    assert {"one", "two", "lost"}.isdisjoint(library.plans)
    assert "good" in library.plans
    assert sum(": a circle" in line for line in library.errors) == 2
    assert any(line.startswith(f"{lost}:7: extends: ") for line in library.errors)
    with pytest.raises(PlanErrors, match="circle"):
        find_plan("one", [tmp_path])
    assert len(check_file(tmp_path / "one.toml")) == 1
    assert len(check_file(lost)) == 1
    assert check_file(tmp_path / "good.toml") == ()


def test_check_file_finds_parents_beside_it_and_among_the_shipped(tmp_path: Path) -> None:
    write(tmp_path, "parent")
    assert check_file(child(tmp_path, "child", "parent")) == ()
    assert check_file(child(tmp_path, "other", "first-windy-evening")) == ()
    assert check_file(tmp_path / "none.toml") != ()


@pytest.mark.parametrize(("balls", "in_blocks"), [(15, 11), (30, 22), (60, 44), (2, 2)])
def test_a_level_variant_changes_its_blocks_in_proportion(balls: int, in_blocks: int) -> None:
    plan = read_plan(GOOD.replace("balls = 30\nminutes = 35", f"balls = {balls}"), "x")
    junior = plan_for(plan, "junior")
    assert (junior.level, junior.balls, junior.minutes) == ("junior", balls, 50)
    assert sum(block.balls for block in junior.block) == in_blocks  # 33 of 45
    assert plan_for(plan, "elite") == plan
    assert plan_for(junior, "junior") == junior


@settings(max_examples=examples(80), deadline=None)
@given(plans, st.sampled_from(LEVELS))
def test_every_plan_that_can_be_read_can_be_had_at_every_level(plan: Plan, level: str) -> None:
    leveled = plan_for(plan, level)
    assert sum(block.balls for block in leveled.block) <= leveled.balls
    assert [block.drill for block in leveled.block] == [block.drill for block in plan.block]


def test_shipped_plans_are_found_beside_the_package_in_a_checkout() -> None:
    package = Path(trainer.__file__).resolve().parent
    assert shipped_folder() in {package / "shipped_plans", package.parent / "plans"}


def test_shipped_plans_are_found_inside_an_installed_package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    inside = tmp_path / "trainer" / "shipped_plans"
    shutil.copytree(shipped_folder(), inside)
    monkeypatch.setattr(trainer, "__file__", str(tmp_path / "trainer" / "__init__.py"))
    assert shipped_folder() == inside
    assert shipped_plans()


def test_missing_shipped_plans_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trainer, "__file__", str(tmp_path / "trainer" / "__init__.py"))
    with pytest.raises(InputError):
        shipped_folder()


@pytest.mark.parametrize("title", ["My plan", 'A "quoted" \\ one', "Zwölf Bälle"])
def test_the_skeleton_is_a_plan(title: str) -> None:
    plan = read_plan(new_plan_text("my-windy-plan", title), "new.toml")
    assert (plan.id, plan.title) == ("my-windy-plan", title)


def test_the_skeleton_fits_a_narrow_terminal() -> None:
    assert max(map(len, new_plan_text().splitlines())) <= 80


def test_the_skeleton_s_comments_are_plan_keys_too() -> None:
    text = new_plan_text()
    for key in ("for", "due", "extends", "series", "wind"):
        assert f"\n# {key} = " in text
        text = text.replace(f"\n# {key} = ", f"\n{key} = ", 1)
    for key in ("grip_down", "flag", "wind", "note"):
        text = text.replace(f"\n# {key} = ", f"\n{key} = ", 1)
    assert read_plan(text, "new.toml").extends == "first-windy-evening"


def test_a_skeleton_needs_an_id() -> None:
    with pytest.raises(ValueError, match="id"):
        new_plan_text("My Plan")
