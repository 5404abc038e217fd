"""What a coach does at the screen: looks, assigns, collects, accepts, returns, notes. For the store's thread."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

from trainer.application.conditions.asking import read_question
from trainer.application.files.file_picking import folder_named
from trainer.application.practice import Practice, plan_rows
from trainer.application.reports.progress_words import progress_text
from trainer.application.squad.coach import (
    State,
    add_member,
    aliases_meant,
    assign,
    collect,
    keep_note,
    read_day,
    result_paths,
    write_assigned,
)
from trainer.application.squad.coach import decide as decide_in
from trainer.application.squad.overview import (
    AssignmentView,
    MemberView,
    units_of,
    view_member,
    view_squad,
    view_taken,
)
from trainer.application.squad.words import (
    assigned_text,
    assignment_words,
    closely_text,
    collected_text,
    collected_warnings,
    day_words,
    group_words,
    member_words,
    practice_words,
    squad_text,
)
from trainer.application.views.practice import harmless
from trainer.application.views.squad import (
    AssignmentRow,
    AssignSetup,
    MemberPage,
    MemberRow,
    ResultPage,
    SquadPage,
)
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand
from trainer.core.units import counted
from trainer.plan.collection import read_library
from trainer.store.squad_records import Decision

DUE_AFTER = timedelta(days=7)
OVERDUE, TO_LOOK_AT = "OVERDUE", "to look at"

Progress = Callable[[int, int], None]


class SquadDesk:
    """The squad's part of a store, read anew for every answer. Raises InputError with nothing changed."""

    def __init__(self, practice: Practice) -> None:
        self._practice = practice

    def page(self, now: datetime, said: str = "") -> SquadPage:
        """Every member, by alias."""
        with self._practice.at_store(write=False) as store:
            views = view_squad(store, now)
            # Who he is, is known where he was named, or where nobody else is in the store.
            one = self._practice.alias is not None or (not views and len(store.players()) == 1)
            taken = view_taken(store, self._practice.alias, now.date()) if one else ()
        lines = [f"Assigned to you: {assignment_words(each)}" for each in taken]
        rows = tuple(member_row(view) for view in views)
        past = [harmless(view.member.alias) for view in views if view.past_keep]
        notes = (f"Past their keep-until date: {', '.join(past)}. Remove them: trainer purge --past-keep-date",)
        return SquadPage(
            rows=rows,
            head=_head(rows),
            notes=notes if past else (),
            own=tuple(harmless(line) for line in lines),
            said=said,
            text=harmless(squad_text(views, taken), keep_lines=True),
        )

    def member(self, alias: str, now: datetime, said: str = "") -> MemberPage:
        """One member closely."""
        with self._practice.at_store(write=False) as store:
            view = view_member(store, alias, now)
            units = units_of(store, view)
        progress = "" if view.progress is None else progress_text(view.progress, units)
        return MemberPage(
            row=member_row(view),
            past=tuple(group_words(each) for each in view.own_past.groups),
            progress=harmless(progress, keep_lines=True),
            notes=tuple(harmless(f"{day_words(note.at)}: {note.text}") for note in view.notes),
            said=said,
            text=harmless(closely_text(view, units), keep_lines=True),
        )

    def decide(self, alias: str, plan_id: str, *, accept: bool, now: datetime) -> MemberPage:
        """Accept what was submitted, or give it back to be done again."""
        decision = Decision.ACCEPTED if accept else Decision.RETURNED
        with self._practice.at_store(write=True) as store:
            decide_in(store, plan_id, decision, now)
        return self.member(alias, now, f"{plan_id}: {decision}")

    def note(self, alias: str, typed: str, now: datetime) -> MemberPage:
        """Keep the coach's words on a member; they stay in this store."""
        with self._practice.at_store(write=True) as store:
            keep_note(store, alias, typed, now)
        return self.member(alias, now, "noted; it stays in this store")

    def add(self, typed: str, now: datetime) -> SquadPage:
        """Keep a member, or a change to one: `kestrel 14-15 consent 2026-05-01 keep 2027-05-01`."""
        question = read_question(typed, {"consent", "keep"})
        alias, band = _alias_and_band(question.subject)
        if not alias:
            raise InputError("who is it?", "member", "write such as kestrel 14-15 consent 2026-05-01")
        consent, keep = question.said.get("consent"), question.said.get("keep")
        consent_day = None if consent is None else read_day(consent, "consent")
        with self._practice.at_store(write=True) as store:
            member = add_member(
                store,
                alias,
                now,
                age_band=band,
                consent_date=consent_day,
                keep_until=None if keep is None else read_day(keep, "keep"),
            )
        return self.page(now, harmless(member_words(member)))

    def assigning(self, now: datetime) -> AssignSetup:
        """What may be assigned, and to whom."""
        with self._practice.at_store(write=False) as store:
            aliases = tuple(harmless(member.alias) for member in store.squad.members())
        rows = plan_rows(read_library(self._practice.plan_folders), ())
        if not aliases:
            raise InputError("the squad is empty", "assign", "add a member first")
        due = (now.date() + DUE_AFTER).isoformat()
        return AssignSetup(tuple(row for row in rows if row.id), aliases, due, f"assigned-{now:%Y-%m-%d}")

    def assign(self, plan_id: str, to: str, due: str, folder: str, now: datetime) -> ResultPage:
        """Write a folder for each player, with the plan and the record of it. `to` is aliases, or all."""
        where = folder_named(folder)
        with self._practice.at_store(write=True) as store:
            aliases = aliases_meant(store, to)
            day = read_day(due, "due")
            assigned = assign(store, plan_id, aliases, day, now, self._practice.plan_folders)
            write_assigned(store, where, assigned)
        text = harmless(assigned_text(plan_id, day, folder, assigned), keep_lines=True)
        return ResultPage(f"Assigned {plan_id}", tuple(text.split("\n")), (), text)

    def collect(
        self, typed: str, *, corrections: bool, progress: Progress, cancelled: Callable[[], bool]
    ) -> ResultPage:
        """Take the result files of a folder in; nothing is ever overwritten.

        Called off, what was taken so far stays: each file is taken whole or not.
        """
        folder = folder_named(typed)
        paths = result_paths(folder)
        files = []
        with self._practice.at_store(write=True) as store:
            for done, file in enumerate(collect(store, paths, corrections=corrections), 1):
                files.append(file)
                progress(done, len(paths))
                if cancelled():
                    break
        text = harmless(collected_text(files), keep_lines=True)
        warnings = [harmless(line) for line in collected_warnings(files)]
        if len(files) < len(paths):
            warnings.insert(0, f"called off after {len(files)} of {len(paths)} files; collect again for the others")
        return ResultPage(f"Collected from {harmless(str(folder))}", tuple(text.split("\n")), tuple(warnings), text)


def member_row(view: MemberView) -> MemberRow:
    """A member in the list."""
    assignments = tuple(_assignment_row(each) for each in view.assignments)
    urgent = [each.urgent for each in assignments]
    return MemberRow(
        alias=harmless(view.member.alias),
        band=str(view.member.age_band),
        record=harmless(member_words(view.member)),
        assignments=assignments,
        practice=practice_words(view),
        urgent=next((word for word in (OVERDUE, TO_LOOK_AT) if word in urgent), ""),
    )


def _assignment_row(view: AssignmentView) -> AssignmentRow:
    waits = view.state is State.SUBMITTED
    return AssignmentRow(
        plan_id=view.record.plan_id,
        words=harmless(assignment_words(view)),
        short=_in_short(view),
        urgent=OVERDUE if view.overdue else TO_LOOK_AT if waits else "",
        open=view.record.handed_in_at is not None and view.state is not State.ACCEPTED,
    )


def _in_short(view: AssignmentView) -> str:
    """`due 1 Dec 2026 · started`; what is overdue or waits for the coach says so first."""
    due = day_words(view.record.due)
    if view.overdue:
        return f"OVERDUE since {due} · {view.state}"
    if view.state is State.SUBMITTED:
        return f"to look at · due {due}"
    return str(view.state) if view.state is State.ACCEPTED else f"due {due} · {view.state}"


def _head(rows: Sequence[MemberRow]) -> str:
    if not rows:
        return "The squad is empty"
    assignments = [each for row in rows for each in row.assignments]
    overdue = sum(each.urgent == OVERDUE for each in assignments)
    waiting = sum(each.urgent == TO_LOOK_AT for each in assignments)
    members = f"{counted(len(rows), 'member')}, by alias"
    return f"{members} · {overdue} overdue · {waiting} to look at"


def _alias_and_band(subject: str) -> tuple[str, AgeBand | None]:
    """`kestrel under 11` parted; None where no age band ends it."""
    for band in sorted(AgeBand, key=len, reverse=True):
        if subject.lower().endswith(f" {band}"):
            return subject[: -len(band)].strip(), band
    return subject.strip(), None
