"""The parts of the session's screen as text, from the view, the figures and what is being entered."""

from __future__ import annotations

from textual.content import Content

from trainer.application.session.said_first import GUESS, READ, SAY
from trainer.application.views.practice import FiguresView, SessionView
from trainer.tui.screens.session_state import Entering
from trainer.tui.widgets.big_text import big_lines, big_width, can_draw
from trainer.tui.widgets.next_ball import head
from trainer.tui.widgets.strip import strip_lines
from trainer.tui.widgets.wind_picture import short_lines

WIND_QUESTION = "Look at the wind: Enter the same · + more · - less · r read again"
NO_RESULT = "Test: look at no result until the last ball is hit."
_MARKS = "   ▽ target   ┈ before the first ball"
ASKED_FIRST = {
    SAY: "Say it first: how far will this ball carry? say 140",
    GUESS: "Read the wind: what do you feel? guess 12mph 1h",
    READ: "Now read it, or ask who has: wind 14mph 1h",
}
MOVED = "Carry in this wind, and what was thought before the first ball:"


def head_text(view: SessionView, columns: int, *, compact: bool) -> str:
    """Where the player is in the plan; in a small window the wind beneath."""
    left, right = head(view), view.title
    room = columns - len(left)
    line = f"{left}{right:>{room}}" if room > len(right) + 2 else left[:columns]
    return "\n".join([line, *short_lines(view.wind, columns)]) if compact else line


def strip_text(view: SessionView, figures: FiguresView | None, columns: int, *, compact: bool, wide: bool) -> str:
    """What is known of the next ball's carry; at the end, what has moved. Nothing of it while a test runs."""
    ball = view.ball
    if ball is not None and (ball.warm_up or not ball.feedback):
        return "" if ball.warm_up else NO_RESULT
    if view.finished:
        return "\n".join([MOVED, *figures.moved]) if figures is not None and figures.moved else ""
    if figures is None or figures.strip is None:
        waiting = "working out the carry …" if ball is not None else ""
        return waiting if figures is None else figures.words
    drawn = strip_lines(figures.strip, columns)
    if compact:
        return "\n".join([drawn[0], figures.words[:columns]])
    longer = [f"{figures.cell}: {figures.words}{_MARKS}", f"{figures.words}{_MARKS}"] if wide else []
    return "\n".join([*drawn, next((words for words in longer if len(words) <= columns), figures.words)])


def heard_content(view: SessionView, said: str, columns: int, *, large: bool) -> Content:
    """The repeat-back of the last change, in large letters where one key was all that was given."""
    big = view.heard
    if large and big and can_draw(big) and big_width(big) <= columns:
        return Content.assemble(("\n".join(big_lines(big)), "bold $success"), "   u takes it back")
    return Content.assemble((said, "bold"))


def ask_text(view: SessionView, entering: Entering) -> str:
    """The question or the reminder above the line."""
    if entering.asking_wind:
        return WIND_QUESTION
    said = []
    if (shot := entering.correcting) is not None:
        said.append(f"correcting shot {shot.number} ({shot.cell}); Esc leaves it as it was")
    if entering.tapped_at is not None:
        said.append("in the air … tap again where it lands")
    elif entering.hang:
        said.append(f"{entering.hang.removeprefix('hang=')} s in the air")
    if entering.mark:
        said.append(f"this ball: {entering.mark.upper()}")
    if view.asks and not said:
        return ASKED_FIRST[view.asks]
    if view.rest_due and not said:
        said.append("15 balls since the last rest: two minutes do good (type rest)")
    return " · ".join(said)


def line_hint(view: SessionView) -> str:
    """What the empty line asks for."""
    if view.ball is not None and view.ball.warm_up:
        return "Enter when the warm-up balls are hit"
    if view.ball is None:
        return "such as 7 iron, 1 in: 142 6L" if not view.finished else "end; or one more, such as 7 iron: 142 6L"
    return "where it went, such as 142 6L"
