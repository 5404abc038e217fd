"""One shot table on its way into the store, as a screen goes through it: asked about, looked at, kept, taken back."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

from trainer.application.conditions.asking import read_weather
from trainer.application.conditions.stated import StatedConditions
from trainer.application.files.file_picking import file_at
from trainer.application.files.import_words import (
    column_rows,
    counts_text,
    heading,
    proposal_text,
    question_view,
    rows_text,
    settled_words,
    shot_lines,
)
from trainer.application.files.importing import IN_SILENCE, ReadTable, Stopped, Work, keep_shots, read_shots
from trainer.application.files.table_opening import (
    Answers,
    OpenedTable,
    answered,
    maps_folder,
    open_shots,
    read_table_file,
    remember_columns,
)
from trainer.application.practice import Practice
from trainer.application.views.practice import harmless
from trainer.application.views.table import ImportView, TableStep
from trainer.core.errors import InputError
from trainer.store.records import PlayerRecord

MOST_REFUSED = 200
"""Refused rows that are shown."""


class TableImport:
    """A file, the answers so far, what its rows come to, and the import once it is kept. For the store's thread.

    Every call raises InputError with nothing changed. Work that is called off changes nothing either, and is said.
    """

    def __init__(self, practice: Practice, typed: str, now: datetime) -> None:
        self._path = path = file_at(typed)
        self._practice, self._now = practice, now
        self._stated, self._weather = StatedConditions(), ""
        self._read: ReadTable | None = None
        self._import_id: int | None = None
        self._taken_back = False
        self._answered: list[OpenedTable] = []
        with practice.at_store(write=False) as store:
            self._player: PlayerRecord = store.player(practice.alias)
            self._opened = open_file(path, self._player.profile.alias, maps_folder(store.path))
            before = store.import_by_hash(self._player.id, self._opened.sha256)
        self._before = "" if before is None else f"this file was imported before as i{before.id}"

    @property
    def rows(self) -> int:
        """Rows of the table."""
        return self._opened.survey.rows

    def answer(self, key: str, text: str) -> ImportView:
        """Settle a question."""
        settled = answered(self._opened, key, text)
        self._answered.append(self._opened)
        self._opened, self._read = settled, None
        return self.view()

    def ask_again(self) -> ImportView:
        """Take the last answer back: its question is open again."""
        if not self._answered or self._import_id is not None:
            raise InputError("there is no answer to take back", self._opened.table.name, "go back to pick a file")
        self._opened, self._read = self._answered.pop(), None
        return self.view()

    def ask_anew(self) -> ImportView:
        """Leave what was remembered of such tables, and every answer: all questions are open again."""
        if self._import_id is not None:
            raise InputError("the rows are kept already", self._opened.table.name, "take the import back first")
        self._opened = open_file(self._path, self._player.profile.alias, None)
        self._answered, self._read = [], None
        return self.view()

    def state(self, weather: str) -> ImportView:
        """The weather in which all the rows were hit, typed in words: `14mph 1h turf firm`. Rows are read anew."""
        self._stated, self._weather = read_weather(weather, self._player.profile.units), weather
        self._read = None
        return self.view()

    def read(self, work: Work = IN_SILENCE) -> ImportView:
        """Read every row and keep none."""
        try:
            with self._practice.at_store(write=False) as store:
                self._read = read_shots(store, self._opened, self._player, self._stated, self._now, work)
        except Stopped:
            return replace(self.view(), said="stopped: the rows were not all read, nothing is kept")
        return self.view()

    def keep(self, work: Work = IN_SILENCE) -> ImportView:
        """Keep the rows that are shots, all or none, and the columns for the next file of the shape."""
        if self._read is None or self._import_id is not None:
            raise InputError("its rows were not looked at", self._opened.table.name, "look at them first")
        try:
            with self._practice.at_store(write=True) as store:
                self._import_id = keep_shots(
                    store, self._player, self._opened, self._read, self._stated, self._now, work
                )
                if not self._opened.table.own:
                    remember_columns(self._opened, maps_folder(store.path))
        except Stopped:
            return replace(self.view(), said="stopped: nothing was kept")
        return self.view()

    def take_back(self, at: datetime) -> ImportView:
        """Undo the whole import; its rows are not deleted."""
        if self._import_id is None or self._taken_back:
            raise InputError("nothing was imported from here", "take back", "keep the rows first")
        with self._practice.at_store(write=True) as store:
            store.undo_import(self._import_id, at)
        self._taken_back = True
        return self.view()

    @property
    def _step(self) -> TableStep:
        if self._taken_back:
            return TableStep.TAKEN_BACK
        if self._import_id is not None:
            return TableStep.KEPT
        if self._before:
            return TableStep.HELD
        if self._opened.open_questions:
            return TableStep.ASKING
        return TableStep.READY if self._read is None else TableStep.LOOKED_AT

    def view(self) -> ImportView:
        """How far the table has come."""
        opened, read, units = self._opened, self._read, self._player.profile.units
        refused = () if read is None else read.skipped[:MOST_REFUSED]
        text = proposal_text(opened) if read is None else rows_text(opened, read, self._import_id)
        return ImportView(
            name=harmless(opened.table.name),
            step=self._step,
            columns=column_rows(opened),
            settled=tuple(harmless(said) for said in (heading(opened).partition(": ")[2], *settled_words(opened))),
            question=question_view(opened),
            answered=len(self._answered),
            counts=() if read is None else (counts_text(read, self._import_id), *_more(read, len(refused))),
            shots=() if read is None else shot_lines(read.first_shots, units),
            refused=tuple(harmless(f"row {row.row}: {row.why}") for row in refused),
            weather=harmless(self._weather),
            said=self._said(),
            text=harmless(text, keep_lines=True),
        )

    def _said(self) -> str:
        if self._taken_back:
            return f"i{self._import_id} was taken back whole: none of its shots counts"
        if self._import_id is not None:
            return f"kept as i{self._import_id}"
        return self._before


def _more(read: ReadTable, shown: int) -> tuple[str, ...]:
    left = len(read.skipped) - shown
    return (f"{left} more rows were refused than are shown here.",) if left > 0 else ()


def open_file(path: Path, alias: str, maps: Path | None) -> OpenedTable:
    """Open the table at `path` for a player; without `maps` nothing is known of its shape. Raises InputError."""
    return open_shots(read_table_file(path), path.name, None, Answers(), alias, maps)
