"""A coach's squad as the screens show it: by alias, each beside his own past, nobody ranked. Nothing heavy here."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.application.views.practice import PlanRow


@dataclass(frozen=True, slots=True)
class AssignmentRow:
    """An assignment: its plan's id, its state with dates in a line, and in short with what presses first.

    `urgent` is OVERDUE, `to look at` or empty; `open` says that the coach may accept or return it.
    """

    plan_id: str
    words: str
    short: str
    urgent: str
    open: bool


@dataclass(frozen=True, slots=True)
class MemberRow:
    """One member in the list: alias, age band, consent and dates, his assignments, what he has hit, his own past."""

    alias: str
    band: str
    record: str
    assignments: tuple[AssignmentRow, ...]
    practice: str
    urgent: str


@dataclass(frozen=True, slots=True)
class SquadPage:
    """The squad in the order of the aliases. `head` counts what is overdue and what waits to be looked at; `own` is
    what the player of this store took up himself. `text` is what `trainer squad show` prints."""

    rows: tuple[MemberRow, ...]
    head: str
    notes: tuple[str, ...]
    own: tuple[str, ...]
    said: str
    text: str


@dataclass(frozen=True, slots=True)
class MemberPage:
    """One member closely. `past` are the groups of like balls, `progress` what his shots taught, `notes` the coach's
    own words. `text` is what `trainer squad show ALIAS` prints."""

    row: MemberRow
    past: tuple[str, ...]
    progress: str
    notes: tuple[str, ...]
    said: str
    text: str


@dataclass(frozen=True, slots=True)
class ResultPage:
    """What came of files that were written or collected; `text` is what the command prints."""

    title: str
    lines: tuple[str, ...]
    warnings: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class AssignSetup:
    """What may be assigned, to whom, and what stands in the fields at first."""

    plans: tuple[PlanRow, ...]
    aliases: tuple[str, ...]
    due: str
    folder: str
