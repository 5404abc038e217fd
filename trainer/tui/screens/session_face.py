"""The session's face: what stands where, drawn anew from the view, the figures and what is being entered."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal

from trainer.application.views.practice import FiguresView, SessionView
from trainer.tui.actions import Place
from trainer.tui.screens.frame import TALL_ROWS, WIDE_COLUMNS, Frame
from trainer.tui.screens.session_drawing import ask_text, head_text, heard_content, strip_text
from trainer.tui.screens.session_pictures import PARTS, STRIP, ended_text, is_roomy, panel_text, part_names
from trainer.tui.screens.session_state import Entering
from trainer.tui.widgets.last_shots import shot_lines
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.next_ball import next_ball, no_ball
from trainer.tui.widgets.pad import PAD
from trainer.tui.widgets.panel import Panel, Room
from trainer.tui.widgets.wind_picture import wind_lines
from trainer.tui.widgets.words import Words

_WIND_COLUMNS, _WIND_COLUMNS_WIDE = 30, 36
_WIND_ROWS, _WIND_ROWS_TALL = 10, 17
PICTURE_KEY = "Ctrl+G"


class SessionFace(Frame):
    """One session, as the store holds it. What is kept here alone is what was not entered yet."""

    AUTO_FOCUS = ""  # None would be the app's own: the line would take the keys when a question above it is answered

    def __init__(self, view: SessionView) -> None:
        super().__init__()
        self.view = view
        self.figures: FiguresView | None = None
        self.entering = Entering()

    @property
    def place(self) -> Place:
        """Which keys count now."""
        return self.entering.place(self.view)

    def body(self) -> ComposeResult:
        """From the next ball down to the last shots."""
        yield Words(id="head", classes="quiet")
        with Horizontal(id="top"):
            yield Words(id="ball")
            yield Words(id="wind")
        yield Words(id="strip")
        yield Panel(id="panel", classes="plot")
        yield Words(id="ended")
        yield Words(id="heard")
        yield Words(id="ask", classes="asked")
        yield Words("\n".join(PAD), id="pad")
        yield Line(id="line")
        yield Words(id="check", classes="quiet")
        yield Room(id="shots")

    @property
    def _line(self) -> Line:
        return self.query_one("#line", Line)

    @property
    def typed_into(self) -> Line | None:
        """The line, unless the keys are balls or answer a question."""
        return self._line if self.place is Place.LINE else None

    def _say(self, text: str, *, wrong: bool = False) -> None:
        heard = self.query_one("#heard", Words)
        heard.set_class(wrong, "wrong")
        # Large is the last ball: anything else that is said has its own words.
        large = text == self.view.said and not (wrong or self.entering.typing or self.is_compact)
        heard.show(heard_content(self.view, text, self.window.width - 22, large=large))

    def _show_mode(self) -> None:
        """The mode of the keys has changed, or the view has."""
        self.refresh_foot()
        self.redraw()

    def redraw(self) -> None:
        """Everything that the view, the figures and the window decide."""
        columns, rows = self.window
        compact, tall = self.is_compact, rows >= TALL_ROWS
        wind_columns = 0 if compact else _WIND_COLUMNS_WIDE if columns >= WIDE_COLUMNS else _WIND_COLUMNS
        self.query_one("#head", Words).show(head_text(self.view, columns - 2, compact=compact))
        self._draw_ball(columns - wind_columns - 3, with_reason=tall)
        wind = self.query_one("#wind", Words)
        wind.display = not compact
        wind.styles.width = wind_columns
        if not compact:
            lines = wind_lines(self.view.wind, wind_columns, 9 if tall else 6, in_full=tall)
            wind.show("\n".join(lines[: _WIND_ROWS_TALL if tall else _WIND_ROWS]))
        line_shown = self.entering.typing or self.entering.asking_wind
        self._line.display = self.query_one("#check").display = line_shown
        self.query_one("#pad").display = self.place is Place.PAD
        self._draw_ask()
        self._draw_figures()
        self._draw_shots()

    @property
    def _roomy(self) -> bool:
        return is_roomy(*self.window)

    def _draw_figures(self) -> None:
        """The strip, the pictures, and what a block changed."""
        self._draw_strip()
        self._draw_ended()
        self._draw_panel()

    def _draw_panel(self) -> None:
        part, columns = self.entering.part, self.window.width - 2
        panel, alone = self.query_one("#panel", Panel), part != STRIP
        panel.set_class(alone, "alone")
        self.query_one("#shots").display = not alone
        self.query_one("#strip").display = not alone or self._roomy
        key = "v" if self.place in (Place.PAD, Place.DONE) else PICTURE_KEY
        names = [part_names(part, key)] if alone else []
        rows = max(panel.size.height - len(names), 3)
        text = panel_text(self.view, self.figures, part, columns, rows, roomy=self._roomy)
        panel.display = alone or bool(text)
        panel.show("\n".join([*names, text]) if names else text)

    def on_room_resized(self) -> None:
        """The parts above have new heights: there are more rows for pictures and shots, or fewer."""
        self._draw_panel()
        self._draw_shots()

    def on_panel_clicked(self) -> None:
        """A click on the pictures turns them."""
        self.action_picture()

    def action_picture(self) -> None:
        """From the strip to the pictures, and round again."""
        self.entering.part = (self.entering.part + 1) % len(PARTS)
        self.redraw()

    def _draw_ended(self) -> None:
        ended = self.query_one("#ended", Words)
        text = ended_text(self.view, self.figures, self.entering.block_seen, self.window.width - 2)
        ended.display = bool(text)
        ended.show(text)

    def block_seen(self) -> None:
        """A key was hit: what the last block changed has been read."""
        picture = None if self.figures is None else self.figures.picture
        if picture is not None and picture.ended is not None and picture.ended.key != self.entering.block_seen:
            self.entering.block_seen = picture.ended.key
            self._draw_ended()

    def _draw_ball(self, columns: int, *, with_reason: bool) -> None:
        ball = self.view.ball
        content = no_ball(self.view, columns) if ball is None else next_ball(ball, columns, with_reason=with_reason)
        self.query_one("#ball", Words).show(content)

    def _draw_strip(self) -> None:
        columns = self.window.width - 2
        wide = columns >= WIDE_COLUMNS
        text = strip_text(self.view, self.figures, columns, compact=self.is_compact, wide=wide)
        self.query_one("#strip", Words).show(text)

    def _draw_ask(self) -> None:
        self.query_one("#ask", Words).show(ask_text(self.view, self.entering))

    def _draw_shots(self) -> None:
        shots, view = self.query_one("#shots", Words), self.view
        if not shots.display:
            return
        if not view.shots and view.notes:
            shots.show("\n".join(f"- {note}" for note in view.notes))
            return
        rows = max(shots.size.height, 1)
        shots.show(shot_lines(view.shots, self.entering.chosen, self.window.width - 2, rows))
