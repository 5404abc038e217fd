"""The errors a person can meet: each is one line with what, where and the remedy."""

from __future__ import annotations


class TrainerError(Exception):
    """A failure that is explained to the person in one line.

    `what` says what is wrong, `where` names the place (a file and line, an option, a token), `remedy` what to do.
    """

    def __init__(self, what: str, where: str = "", remedy: str = "") -> None:
        super().__init__(what, where, remedy)
        self.what = what
        self.where = where
        self.remedy = remedy

    def __str__(self) -> str:
        text = f"{self.where}: {self.what}" if self.where else self.what
        text = f"{text}; {self.remedy}" if self.remedy else text
        return " ".join(text.split())


class InputError(TrainerError):
    """What was typed or read is wrong: a value, a unit, a file's content. Exit code 1."""


class StoreError(TrainerError):
    """The store cannot be used; the remedy says how to mend it. Exit code 3."""
