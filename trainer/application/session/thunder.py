"""The wait after thunder in words. Nothing heavy is loaded here."""

from __future__ import annotations

from datetime import datetime

from trainer.core.schedule.prompts import DEFAULT_LIMITS, thunder_note

LOCAL_RULES = "Local rules and the staff may ask for longer; what they say goes."


def may_go_on_at(heard_at: datetime) -> datetime:
    """The earliest moment to go on after thunder that was last heard at `heard_at`."""
    return heard_at + DEFAULT_LIMITS.thunder_wait


def wait_words(heard_at: datetime, now: datetime) -> str:
    """What thunder last heard at `heard_at` means now; empty when the wait is over."""
    note = thunder_note([heard_at], now)
    return f"{note[0].upper()}{note[1:]}.\n{LOCAL_RULES}" if note else ""
