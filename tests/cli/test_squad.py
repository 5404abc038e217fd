"""`trainer squad`: a plan out, results back, and what the coach sees of it."""

from __future__ import annotations

import csv
import os
from datetime import datetime
from pathlib import Path
from shutil import copytree

import pytest

from tests.cli.program import NOW, Program
from tests.cli.squad_programs import DUE, PLAN, Squad, made, modes, squad_in
from tests.exchange.test_result_file import BODY, sealed

OVERDUE = datetime(2026, 5, 25, 9, 0)


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a squad, to be copied and not used itself."""
    folder = tmp_path_factory.mktemp("squad")
    made(folder)
    return folder


@pytest.fixture
def squad(template: Path, tmp_path: Path) -> Squad:
    copytree(template, tmp_path, dirs_exist_ok=True)
    return squad_in(tmp_path)


def test_an_assignment_goes_all_the_way(squad: Squad) -> None:
    plan_id = squad.start()
    assert plan_id.startswith(PLAN)
    assert squad.member()["assignments"][0]["state"] == "assigned"
    own = squad.player.json("squad", "show")["taken_up"]
    assert [(each["id"], each["state"]) for each in own] == [(plan_id, "assigned")]
    assert squad.player.json("agenda", "--plan", plan_id)["plan"] == plan_id
    squad.play(plan_id)
    assert squad.player.json("squad", "show")["taken_up"][0]["state"] == "started"
    squad.submit()
    assert squad.player.json("squad", "show")["taken_up"][0]["state"] == "submitted"
    taken = squad.collect()
    assert (taken["taken"], taken["sessions"], taken["shots"]) == (1, 1, 4)
    (assignment,) = squad.member()["assignments"]
    assert assignment["state"] == "submitted"
    assert assignment["started"] == assignment["submitted"] == NOW.isoformat()
    squad.coach.json("squad", "return", plan_id)
    assert squad.member()["assignments"][0]["state"] == "returned"
    later = datetime(2026, 5, 16, 18, 0)
    squad.player.json("squad", "submit", str(squad.back / "again"), now=later)
    squad.collect()
    assert squad.member()["assignments"][0]["state"] == "submitted"
    squad.coach.json("squad", "accept", plan_id, now=later)
    assert squad.member()["assignments"][0]["state"] == "accepted"
    squad.coach("squad", "accept", plan_id).refused()


def test_what_is_due_and_not_in_is_overdue_and_what_is_in_is_not(squad: Squad) -> None:
    plan_id = squad.start()
    assert not squad.member()["assignments"][0]["overdue"]

    def overdue() -> bool:
        (member,) = squad.coach.json("squad", "show", now=OVERDUE)["members"]
        return bool(member["assignments"][0]["overdue"])

    assert overdue()
    squad.play(plan_id)
    squad.submit()
    squad.collect()
    assert not overdue()
    squad.coach.json("squad", "return", plan_id)
    assert overdue()


def test_the_coach_sees_under_the_alias_what_the_player_hit(squad: Squad) -> None:
    squad.play(squad.start())
    squad.submit()
    squad.collect()
    ours = squad.coach.json("shots", "--player", "kestrel")["shots"]
    theirs = squad.player.json("shots")["shots"]
    keys = ("uid", "carry_m", "side_m", "club", "swing", "mishit", "tags", "time")
    assert [[shot[key] for key in keys] for shot in ours] == [[shot[key] for key in keys] for shot in theirs]
    assert squad.coach("gaps", "--player", "kestrel").code == 0
    closely = squad.coach.json("squad", "show", "kestrel")
    assert closely["shots"] == 4
    assert closely["progress"]["practice"]["verdict"] == "not enough balls to tell"


def test_collecting_is_idempotent_and_a_second_submit_writes_nothing_new(squad: Squad) -> None:
    squad.play(squad.start())
    first = squad.submit()["files"]
    assert squad.submit()["files"] == first
    squad.collect()
    again = squad.collect()
    assert (again["taken"], again["held"], again["shots"]) == (0, 1, 0)


def test_a_conflict_is_told_and_what_stands_stays(squad: Squad) -> None:
    squad.play(squad.start())
    squad.submit()
    squad.collect()
    before = squad.coach.json("shots", "--player", "kestrel")
    assert squad.player("shots", "correct", "1", "99").code == 0
    changed = squad.submit()["files"]
    result = squad.coach("squad", "collect", str(squad.back), "--json")
    assert result.code == 0
    assert changed[0] in result.err
    outcomes = {file["file"]: file["outcome"] for file in result.data["files"]}
    assert sorted(outcomes.values()) == ["conflict", "held"]
    assert squad.coach.json("shots", "--player", "kestrel") == before
    assert squad.coach("squad", "collect", str(squad.back), "--take-corrections").code == 0
    assert squad.coach.json("shots", "--player", "kestrel") == before  # not handed in later than what stands
    squad.player.json("squad", "submit", str(squad.back / "later"), now=OVERDUE)
    told = squad.coach.json("squad", "collect", str(squad.back / "later"), "--take-corrections")
    assert told["corrected"] == 1
    assert squad.coach.json("shots", "--player", "kestrel") != before


def test_one_bad_file_hides_no_good_one(squad: Squad) -> None:
    squad.play(squad.start())
    squad.submit()
    (squad.back / "a.result.toml").write_bytes(b"rubbish")
    elsewhere = squad.out.with_name("elsewhere.toml")
    elsewhere.write_bytes(sealed(BODY))
    (squad.back / "b.result.toml").symlink_to(elsewhere)
    os.mkfifo(squad.back / "c.result.toml")
    (squad.back / "d.result.toml").write_bytes(sealed(BODY.replace("kestrel", "nobody")))
    told = squad.collect()
    assert (told["taken"], told["refused"]) == (1, 4)
    only_bad = squad.back / "bad"
    only_bad.mkdir()
    (only_bad / "a.result.toml").write_bytes(b"rubbish")
    result = squad.coach("squad", "collect", str(only_bad))
    assert result.code == 1
    assert "a.result.toml" in result.err
    squad.coach("squad", "collect", str(squad.out / "none")).refused()
    (squad.back / "empty").mkdir()
    squad.coach("squad", "collect", str(squad.back / "empty")).refused()


def test_text_in_a_file_steers_no_terminal_and_no_spreadsheet(squad: Squad, tmp_path: Path) -> None:
    squad.back.mkdir()
    evil = "=HYPERLINK(1) [red]"
    body = BODY.replace('"7 iron"', f'"{evil}"')
    (squad.back / "a.result.toml").write_bytes(sealed(body))
    (squad.back / "b.result.toml").write_bytes(sealed(body.replace("HYPER", "\\u001b[2J")))
    told = squad.collect()
    assert (told["taken"], told["refused"]) == (1, 1)
    for words in (("shots",), ("gaps",), ("squad", "show", "kestrel")):
        said = squad.coach(*words, *(() if words[0] == "squad" else ("--player", "kestrel")))
        assert said.code == 0
        assert "\x1b" not in said.out + said.err
    assert evil.lower() in squad.coach("shots", "--player", "kestrel").out.lower()
    assert squad.coach("export", "--player", "kestrel", str(tmp_path / "export")).code == 0
    with (tmp_path / "export" / "shots.csv").open(newline="", encoding="utf-8") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert any(evil.lower() in cell.lower() for cell in cells)
    assert not any(cell.startswith("=") for cell in cells)


def test_what_leaves_has_no_name_and_is_for_its_owner_alone(squad: Squad) -> None:
    squad.play(squad.start())
    assert squad.player("squad", "submit", str(squad.back)).code == 0
    for folder in (squad.out, squad.back, squad.player.store.parent / "plans"):
        assert modes(folder) <= {(True, 0o700), (False, 0o600)}
        assert not any(path.suffix == ".part" for path in folder.rglob("*"))
    (file,) = squad.back.iterdir()
    assert "kestrel" not in file.name
    text = file.read_text(encoding="utf-8")
    assert 'alias = "kestrel"' in text
    assert "Robin" not in text
    assert "Realname" not in text


def test_neither_alias_nor_note_of_the_player_goes_along_unless_he_says_so(squad: Squad) -> None:
    squad.player.hit("7 iron: 118", options=("--seen", "laser"))
    squad.player("squad", "submit", str(squad.back)).refused()
    squad.submit("--as", "kestrel")
    (file,) = squad.back.iterdir()
    assert "note" not in file.read_text(encoding="utf-8")
    words = ("--with-note", "--as", "kestrel")
    assert squad.player("squad", "submit", str(squad.back / "noted"), *words).code == 0
    (file,) = (squad.back / "noted").iterdir()
    assert "laser" in file.read_text(encoding="utf-8").split("[session]")[1].split("[[")[0]


def test_what_no_file_may_hold_is_told_before_anything_is_written(squad: Squad) -> None:
    squad.player.json("setup", "--player", "Robin Realname")
    squad.player.hit("7 iron: 118")
    squad.player("squad", "submit", "--as", "kes\x1btrel", str(squad.back)).refused()
    assert not squad.back.exists()


def test_a_coachs_notes_stay_in_his_store(squad: Squad, tmp_path: Path) -> None:
    squad.coach.json("squad", "note", "kestrel", "shy of the wind, give him time")
    squad.play(squad.start())
    squad.submit()
    squad.collect()
    assert squad.coach("squad", "submit", str(tmp_path / "on"), "--whole-squad").code == 0
    assert squad.coach("export", "--player", "kestrel", str(tmp_path / "export")).code == 0
    assert squad.coach.json("squad", "show", "kestrel")["coach_notes"][0]["text"].startswith("shy of the wind")
    for folder in (tmp_path / "on", tmp_path / "export", squad.out):
        assert all("shy" not in path.read_text(encoding="utf-8") for path in folder.rglob("*") if path.is_file())


def test_nothing_of_a_junior_is_taken_without_consent(squad: Squad) -> None:
    squad.play(squad.start())
    squad.submit()
    squad.coach.json("squad", "add", "kestrel", "--no-consent")
    refused = squad.coach("squad", "collect", str(squad.back))
    assert refused.code == 1
    (file,) = (path.name for path in squad.back.iterdir())
    assert file in refused.err
    assert squad.member()["shots"] == 0
    squad.coach("squad", "assign", PLAN, "--to", "kestrel", "--due", DUE, str(squad.out)).refused()
    squad.coach.json("squad", "add", "kestrel", "--consent", "2026-05-02")
    assert squad.collect()["shots"] == 4


def test_an_adult_needs_no_consent_and_a_member_is_changed_by_what_is_said(squad: Squad) -> None:
    squad.coach.json("squad", "add", "heron", "--age-band", "adult", "--keep-until", "2027-01-01")
    assert squad.assign("heron", "kestrel")[0]["balls"] > squad.assign("kestrel")[0]["balls"]
    changed = squad.coach.json("squad", "add", "HERON", "--keep-until", "2026-12-01")
    assert changed == {
        "alias": "heron", "age_band": "adult", "consent": False, "consent_date": None, "keep_until": "2026-12-01",
    }  # fmt: skip


def test_a_coach_is_told_to_keep_names_outside(tmp_path: Path) -> None:
    coach = Program(tmp_path / "store.db")
    assert "outside" in coach("squad", "add", "kestrel", "--age-band", "14-15").out


@pytest.mark.parametrize(
    "words",
    [
        ("add", "wren"),
        ("add", "wren", "--age-band", "13"),
        ("add", "../wren", "--age-band", "adult"),
        ("add", "wr\x1ben", "--age-band", "adult"),
        ("add", "wren", "--age-band", "11-13", "--consent", "2026-06-01"),
        ("add", "wren", "--age-band", "11-13", "--consent", "yes"),
        ("assign", "no-such-plan", "--to", "kestrel", "--due", DUE, "{out}"),
        ("assign", PLAN, "--to", "nobody", "--due", DUE, "{out}"),
        ("assign", PLAN, "--to", "kestrel", "--due", "2026-05-01", "{out}"),
        ("show", "nobody"),
        ("note", "nobody", "words"),
        ("accept", "nothing"),
        ("start", "{out}"),
        ("submit", "{out}"),
    ],
)
def test_wrong_words_are_refused_in_a_line_and_leave_nothing(squad: Squad, words: tuple[str, ...]) -> None:
    squad.coach("squad", *(word.format(out=squad.out) for word in words)).refused()
    assert not squad.out.exists()


def test_nobody_is_ranked(squad: Squad) -> None:
    for alias in ("wren", "Avocet", "heron"):
        squad.coach.json("squad", "add", alias, "--age-band", "adult")
    aliases = [member["alias"] for member in squad.coach.json("squad", "show")["members"]]
    assert aliases == ["Avocet", "heron", "kestrel", "wren"]


def test_an_assignment_is_not_taken_up_changed_and_only_once(squad: Squad) -> None:
    (assigned,) = squad.assign()
    folder = squad.out / assigned["folder"]
    plan = folder / "plan.toml"
    text = plan.read_text(encoding="utf-8")
    plan.write_text(text.replace("minutes", "minutes "), encoding="utf-8")
    squad.player("squad", "start", str(folder)).refused()
    plan.write_text(text, encoding="utf-8")
    for place in (folder, folder / "assignment.toml"):
        assert squad.player("squad", "start", str(place)).code == 0
    assert len(squad.player.json("squad", "show")["taken_up"]) == 1
    kept = squad.player.store.parent / "plans" / f"{assigned['id']}.toml"
    assert kept.read_text(encoding="utf-8") == text
