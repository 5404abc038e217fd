"""The next ball as it is read from two steps away: club and distance large, then how to hit it, then one cue."""

from __future__ import annotations

from textual.content import Content

from trainer.application.views.practice import BallView, SessionView
from trainer.tui.widgets.big_text import big_lines, big_width, can_draw
from trainer.tui.widgets.folding import folded

Part = str | tuple[str, str]
_APART = "   "


def large(ball: BallView, columns: int) -> list[str]:
    """Club and distance as large as the width holds: the name, else its stamp, else plain letters."""
    for name in (ball.club, ball.stamp):
        text = f"{name}{_APART}{ball.distance}" if ball.distance else name
        if can_draw(text) and big_width(text) <= columns:
            return big_lines(text)
    for name in (ball.club, ball.stamp):
        if can_draw(name) and big_width(name) <= columns:
            return big_lines(name)
    return [ball.club.upper()]


def next_ball(ball: BallView, columns: int, *, with_reason: bool) -> Content:
    """The ball to hit, in at most `columns`."""
    parts: list[Part] = [("\n".join(large(ball, columns)) + "\n", "bold $primary")]
    if ball.warm_up:
        balls = "1 ball" if ball.repeat == 1 else f"{ball.repeat} balls"
        parts += _lines(f"{ball.club}, {ball.swing}", columns, "bold")
        parts += _lines(f"warm-up: {balls}, not recorded. Enter when they are hit.", columns)
        return Content.assemble(*parts, *_lines(f"» {ball.cue}", columns)).rstrip()
    parts += _lines(f"{ball.swing}; {ball.grip}", columns, "bold")
    parts += _lines(f"{ball.aim}; {ball.change}", columns)
    parts += _lines(f"» {ball.cue}", columns, "italic $secondary")
    if ball.called:
        parts += _lines(ball.called, columns)
    if with_reason:
        parts += _lines(ball.reason, columns, "$foreground 75%")
    return Content.assemble(*parts).rstrip()


def _lines(text: str, columns: int, style: str = "") -> list[Part]:
    joined = "\n".join(folded(text, columns)) + "\n"
    return [(joined, style)] if style else [joined]


def no_ball(view: SessionView, columns: int) -> Content:
    """What stands there when no ball waits: the plan is done, or there never was one."""
    if view.balls == 0:
        parts: list[Part] = [("\n".join(big_lines("any ball")) + "\n", "bold $primary")]
        return Content.assemble(*parts, *_lines("Name the shot, then where it went: 7 iron, 1 in: 142 6L", columns))
    parts = [("\n".join(big_lines("all hit")) + "\n", "bold $primary")]
    skipped = f", {view.skipped} skipped" if view.skipped else ""
    return Content.assemble(*parts, *_lines(f"{view.hit} balls recorded{skipped}. End the session with e.", columns))


def head(view: SessionView) -> str:
    """`Ball 14 of 45 · 31 left · club-down ladder, step`."""
    ball = view.ball
    if ball is None:
        return f"{view.hit} recorded"
    left = "last ball" if view.left == 1 else f"{view.left} left"
    what = ball.drill if ball.warm_up else f"{ball.drill}, {ball.stage}"
    return f"Ball {ball.number} of {view.balls} · {left} · {what}"
