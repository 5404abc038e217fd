"""A table that grows beside the session on screen: what is new in it, each row confirmed and kept with its ball."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from trainer.application.files.file_picking import folder_named
from trainer.application.files.import_words import column_rows, heading, proposal_text, question_view, settled_words
from trainer.application.files.table_opening import OpenedTable, maps_folder
from trainer.application.files.watching import Match, Watch, watch
from trainer.application.practice import Practice
from trainer.application.session.typed_check import entry_words
from trainer.application.views.practice import harmless
from trainer.application.views.table import FollowView
from trainer.core.errors import InputError
from trainer.exchange.cell_text import print_cell

ROWS_AT_ONCE = 25
"""Rows that are settled unasked in one go; the next look takes the others."""

MOST_LOGGED = 40


class TableFollow:
    """A file followed for the session that runs, and what became of its rows. For the store's thread.

    Every call raises InputError with nothing kept. While `unasked` rows that are the next ball beyond doubt are kept
    as they come.
    """

    def __init__(self, practice: Practice, typed: str) -> None:
        path = _followed(typed)
        self._practice = practice
        self._recorder = practice.live.recorder
        with practice.at_store(write=True) as store:
            self._watch: Watch = watch(store, self._recorder, path, None, None, maps_folder(store.path))
        self._path = path
        self._opened: OpenedTable | None = None
        self._match: Match | None = None
        self._log: list[str] = []
        self._kept = self._left = self._changed = 0
        self.unasked = False

    def look(self, now: datetime) -> FollowView:
        """Look at the file, take in what is new, and settle what needs no answer."""
        found = self._watch.follower.look()
        for line in found.said:
            self._note(line)
        if found.opened is not None:
            self._opened = found.opened
        self._watch.take_in(found)
        self._go_on(now)
        return self.view()

    def answer(self, key: str, text: str, now: datetime) -> FollowView:
        """Answer an open question of the columns; the rows are read then."""
        self._opened = self._watch.follower.answer(key, text)
        return self.look(now)

    def keep(self, row: int, now: datetime, *, as_ball: bool = False) -> FollowView:
        """Keep the row that waits, as it says or as the agenda's next ball."""
        match = self._asked_about(row, now)
        if match is not None:
            self._keep(match.as_next_ball() if as_ball else match)
            self._go_on(now)
        return self.view()

    def leave(self, row: int, now: datetime) -> FollowView:
        """Pass the row by for good."""
        match = self._asked_about(row, now)
        if match is not None:
            self._watch.leave(match)
            self._left += 1
            self._note(f"row {match.number} left out")
            self._go_on(now)
        return self.view()

    def change_asking(self, now: datetime) -> FollowView:
        """Ask about every row, or only about those that may be another ball."""
        self.unasked = not self.unasked
        self._go_on(now)
        return self.view()

    def _asked_about(self, row: int, now: datetime) -> Match | None:
        """The row that waits as it is matched now; None where it is another one by now: that is shown first."""
        match = self._watch.next(now)
        self._match = match
        return match if match is not None and match.number == row else None

    def _go_on(self, now: datetime) -> None:
        """Settle rows until one has to be asked about, none is left, or enough were settled in one go."""
        self._match = None
        for _ in range(ROWS_AT_ONCE):
            match = self._watch.next(now)
            if match is None:
                return
            if match.cell is None:
                self._watch.leave(match)
                self._left += 1
                self._note(f"row {match.number} left out: {match.why}")
            elif self.unasked and not match.doubt:
                self._keep(match)
            else:
                self._match = match
                return
        self._watch.follower.look_again()

    def _keep(self, match: Match) -> None:
        shot = self._watch.keep(match)
        self._kept += 1
        self._changed += 1
        ball = "" if match.ball is None else f", ball {match.ball.number}"
        self._note(f"kept row {match.number}{ball}: {self._words(match)}")
        if wait := self._recorder.thunder_words(shot.at):
            self._note(wait)

    def _note(self, line: str) -> None:
        self._log.insert(0, harmless(line))
        del self._log[MOST_LOGGED:]

    def _words(self, match: Match) -> str:
        units = self._recorder.profile.units
        if match.cell is None or match.entry is None:
            return match.why
        return f"{print_cell(match.cell, units)}: {entry_words(match.entry, units)}"

    def view(self) -> FollowView:
        """The file as it stands."""
        match, opened = self._match, self._opened
        ball = "" if match is None or match.ball is None else f"ball {match.ball.number}"
        lines = [] if opened is None else [proposal_text(opened)]
        lines += [f"Session {self._recorder.session.id}: {self._kept} kept, {self._left} left.", *self._log]
        settled = () if opened is None else (heading(opened).partition(": ")[2], *settled_words(opened))
        return FollowView(
            name=harmless(self._path.name),
            columns=() if opened is None else column_rows(opened),
            settled=tuple(harmless(said) for said in settled),
            question=None if opened is None else question_view(opened),
            next_ball=self._next_ball(),
            number=None if match is None else match.number,
            row="" if match is None else harmless(f"row {match.number}: {self._words(match)}"),
            ball=ball,
            doubt="" if match is None else harmless(match.doubt),
            kept=self._kept,
            left=self._left,
            log=tuple(self._log),
            unasked=self.unasked,
            changed=self._changed,
            text=harmless("\n".join(lines), keep_lines=True),
        )

    def _next_ball(self) -> str:
        waiting = self._recorder.waiting_ball()
        if waiting is None:
            return "no ball of a plan waits: rows are kept as the file has them"
        units = self._recorder.profile.units
        target = "" if waiting.ball.target_m is None else f" to {units.shown_distance(waiting.ball.target_m)}"
        return harmless(f"ball {waiting.number}: {print_cell(waiting.ball.cell, units)}{target}")


def _followed(typed: str) -> Path:
    """The file that is to be followed; it may not be there yet, its folder must. Raises InputError."""
    path = folder_named(typed)
    if path.is_dir() or not path.parent.is_dir():
        raise InputError(
            "this is no file that can be followed", harmless(typed), "name a file in a folder that is there"
        )
    return path
