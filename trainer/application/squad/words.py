"""A squad as text for a coach and as data for a program."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from trainer.application.reports.progress_words import progress_data, progress_text
from trainer.application.squad.coach import Assigned, CollectedFile, State
from trainer.application.squad.overview import AssignmentView, LikeForLike, MemberView, OwnPast
from trainer.application.views.folding import folded, wrapped
from trainer.core.decide.change import Change
from trainer.core.units import UnitChoice, counted
from trainer.store.squad_records import AssignmentRecord, Member

MOST_FILES_NAMED = 20


def day_words(moment: date | datetime) -> str:
    """`6 May 2026`."""
    return f"{moment.day} {moment:%b %Y}"


def member_data(member: Member) -> dict[str, Any]:
    """A member's record."""
    return {
        "alias": member.alias,
        "age_band": str(member.age_band),
        "consent": member.consent_date is not None,
        "consent_date": None if member.consent_date is None else member.consent_date.isoformat(),
        "keep_until": member.keep_until.isoformat(),
    }


def member_words(member: Member) -> str:
    """A member's record in a line."""
    if member.consent_date is not None:
        consent = f"consent {day_words(member.consent_date)}"
    else:
        consent = "NO CONSENT KEPT" if member.age_band.is_junior else "no consent needed"
    return f"{member.alias} ({member.age_band}), {consent}, kept until {day_words(member.keep_until)}"


def assigned_data(assigned: Sequence[Assigned]) -> list[dict[str, Any]]:
    """What was assigned, with where it was written."""
    return [
        {
            "id": each.plan.id,
            "alias": each.member.alias,
            "title": each.plan.title,
            "due": each.due.isoformat(),
            "balls": each.plan.balls,
            "minutes": each.plan.minutes,
            "folder": each.folder,
            "changed": list(each.said),
        }
        for each in assigned
    ]


def assigned_text(plan_id: str, due: date, folder: str, assigned: Sequence[Assigned]) -> str:
    """What was assigned and where it was written, and what the player does with it."""
    lines = folded(f"Assigned {plan_id}, due {day_words(due)}; hand each his folder in {folder}:", hanging="  ")
    for each in assigned:
        lines.append(f"  {each.folder}  for {each.member.alias}")
        lines += [line for said in each.said for line in folded(said, indent="    ", hanging="      ")]
    return "\n".join([*lines, "He takes it up with: trainer squad start FOLDER"])


def collected_data(files: Sequence[CollectedFile]) -> dict[str, Any]:
    """Counts, and each file with what became of it."""
    return {
        "files": [
            {
                "file": each.name,
                "outcome": _outcome(each),
                "alias": each.alias or None,
                "session": each.session or None,
                "shots": each.merged.shots,
                "shots_held": each.merged.held_shots,
                "corrected": each.merged.corrected,
                "why": each.why or None,
                "conflicts": list(each.merged.conflicts),
            }
            for each in files
        ],
        "taken": sum(_outcome(each) == "taken" for each in files),
        "held": sum(_outcome(each) == "held" for each in files),
        "conflicts": sum(_outcome(each) == "conflict" for each in files),
        "refused": sum(_outcome(each) == "refused" for each in files),
        "sessions": sum(each.merged.new_session for each in files),
        "shots": sum(each.merged.shots for each in files),
        "corrected": sum(each.merged.corrected for each in files),
    }


def _outcome(file: CollectedFile) -> str:
    if file.is_conflict:
        return "conflict"
    if file.why:
        return "refused"
    return "taken" if file.is_new else "held"


def collected_text(files: Sequence[CollectedFile]) -> str:
    """Counts in a line, then who brought how much."""
    data = collected_data(files)
    outcomes = ", ".join(
        f"{data[key]} {words}"
        for key, words in (
            ("taken", "taken"), ("held", "held already"), ("conflicts", "in conflict"), ("refused", "refused")
        )
    )  # fmt: skip
    new = f"{counted(data['sessions'], 'new session')}, {counted(data['shots'], 'new shot')}"
    corrected = f", {data['corrected']} put right" if data["corrected"] else ""
    lines = [f"{counted(len(files), 'file')}: {outcomes}. {new}{corrected}."]
    for alias in sorted({each.alias for each in files if each.is_new}):
        shots = sum(each.merged.shots for each in files if each.alias == alias)
        lines.append(f"  {alias}: {counted(shots, 'shot')}")
    return "\n".join(lines)


def collected_warnings(files: Sequence[CollectedFile]) -> tuple[str, ...]:
    """Why files were not taken, the first of them by name."""
    bad = [each for each in files if each.why]
    lines = [
        f"{each.name}: conflict, nothing of it taken: {each.why}; what stands here stays (if he put it "
        f"right since: --take-corrections)" if each.is_conflict
        else each.why
        for each in bad[:MOST_FILES_NAMED]
    ]  # fmt: skip
    if len(bad) > MOST_FILES_NAMED:
        lines.append(f"and {len(bad) - MOST_FILES_NAMED} more; --json lists them all")
    return tuple(lines)


def assignment_data(view: AssignmentView) -> dict[str, Any]:
    """An assignment with the date of each step."""
    record = view.record
    decision, decided_at = None, None
    if isinstance(record, AssignmentRecord):
        decision, decided_at = record.decision, record.decided_at
    return {
        "id": record.plan_id,
        "title": record.title,
        "state": str(view.state),
        "assigned": record.assigned_at.isoformat(),
        "due": record.due.isoformat(),
        "overdue": view.overdue,
        "started": _iso(record.started_at),
        "submitted": _iso(record.handed_in_at),
        "decision": None if decision is None else str(decision),
        "decided": _iso(decided_at),
    }


def _iso(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()


def assignment_words(view: AssignmentView) -> str:
    """An assignment in a line: `…: submitted 6 May 2026, due 21 May 2026`."""
    record = view.record
    dated = {
        State.ASSIGNED: record.assigned_at,
        State.STARTED: record.started_at,
        State.SUBMITTED: record.handed_in_at,
    }.get(view.state, record.decided_at if isinstance(record, AssignmentRecord) else None)
    said = f"{view.state} {day_words(dated)}" if dated else str(view.state)
    return f"{record.plan_id}: {said}, {'OVERDUE since' if view.overdue else 'due'} {day_words(record.due)}"


def view_data(view: MemberView) -> dict[str, Any]:
    """A member with assignments, counts and his own past; progress and notes where they were asked for."""
    data = {
        **member_data(view.member),
        "past_keep_date": view.past_keep,
        "assignments": [assignment_data(each) for each in view.assignments],
        "sessions": view.sessions,
        "shots": view.shots,
        "last_session": _iso(view.last_session),
        "own_past": _own_past_data(view.own_past),
    }
    if view.progress is not None:
        data["progress"] = progress_data(view.progress)
    if view.notes:
        data["coach_notes"] = [{"time": note.at.isoformat(), "text": note.text} for note in view.notes]
    return data


def _own_past_data(past: OwnPast) -> dict[str, Any]:
    return {
        "verdict": past.verdict,
        "change_percent": None if past.change is None else _change_data(past.change),
        "like_for_like": [
            {"drill": each.drill or None, "ball": each.ball, "wind": each.wind, **_change_data(each.change)}
            for each in past.groups
        ],
    }


def _change_data(change: Change) -> dict[str, Any]:
    return {
        "difference": change.difference,
        "plus_minus95": change.plus_minus95,
        "clear": change.clear,
        "balls_before": change.balls_before,
        "balls_after": change.balls_after,
    }


def view_text(views: Sequence[MemberView]) -> str:
    """Every member in the order of the aliases."""
    if not views:
        return "The squad is empty: trainer squad add ALIAS --age-band 14-15 --consent DATE"
    lines = [line for view in views for line in (*_member_lines(view), "")]
    past = [view.member.alias for view in views if view.past_keep]
    if past:
        lines.append(f"Past their keep-until date: {', '.join(past)}. Remove them: trainer purge --past-keep-date")
    lines.append("In the order of the aliases: each stands beside his own past, nobody is ranked.")
    lines.append("One closely, with progress by what his shots taught: trainer squad show ALIAS")
    return "\n".join(lines)


def squad_text(views: Sequence[MemberView], taken: Sequence[AssignmentView]) -> str:
    """What the player of this store was assigned, then the squad kept in it, if any."""
    lines = [f"Assigned to you: {assignment_words(each)}" for each in taken]
    return "\n".join(lines if taken and not views else [*lines, view_text(views)])


def _member_lines(view: MemberView) -> list[str]:
    lines = [member_words(view.member)]
    lines += [f"  {assignment_words(each)}" for each in view.assignments]
    return [*lines, f"  {practice_words(view)}"]


def practice_words(view: MemberView) -> str:
    """How much a member has hit, and how he stands beside his own past."""
    if not view.shots:
        return "no shot yet"
    last = "" if view.last_session is None else f", last {day_words(view.last_session)}"
    return f"{counted(view.sessions, 'session')}, {counted(view.shots, 'ball')}{last}; {_past_words(view.own_past)}"


def _past_words(past: OwnPast) -> str:
    if past.change is None:
        return past.verdict
    size = f"{abs(past.change.difference):.1f} ± {past.change.plus_minus95:.1f} % of the target"
    way = "closer" if past.change.difference < 0 else "wider"
    if past.change.clear:
        return f"{way} than his own earlier balls by {size}, like for like"
    return f"no clear change ({way} by {size})"


def closely_text(view: MemberView, units: UnitChoice) -> str:
    """One member: his own past group by group, what progress says, and the coach's notes."""
    lines = _member_lines(view)
    if view.own_past.groups:
        lines += ["", "Like for like, later against earlier days:"]
        lines += [f"  {group_words(each)}" for each in view.own_past.groups]
    if view.progress is not None:
        lines += ["", progress_text(view.progress, units)]
    if view.notes:
        lines += ["", "Your notes (they stay in this store):"]
        lines += wrapped([f"{day_words(note.at)}: {note.text}" for note in view.notes])
    return "\n".join(lines)


def group_words(group: LikeForLike) -> str:
    """One kind of balls, later against earlier days, in a line."""
    change = group.change
    way = "closer" if change.difference < 0 else "wider"
    verdict = way if change.clear else "no clear change"
    return (
        f"{group.drill or 'no drill'}, {group.ball} balls, {group.wind}: {verdict} "
        f"({change.difference:+.1f} ± {change.plus_minus95:.1f} %; {change.balls_before} and {change.balls_after})"
    )
