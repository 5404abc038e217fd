"""Plain words on the screen: never read as markup, and known again as text for copying."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

_CONTROLS = {code: " " for code in (*range(32), *range(127, 160)) if chr(code) != "\n"}
"""The control characters of ISO 6429, ESC among them, as blanks."""


def _steerless(text: str | Content) -> Content:
    """`text` as it may be painted: whatever name came from whatever file, it steers no terminal."""
    content = text if isinstance(text, Content) else Content(text)
    plain = content.plain.translate(_CONTROLS)
    return content if plain == content.plain else Content(plain, spans=list(content.spans))


class Words(Static):
    """Lines of text. What is shown is `plain`; nothing in it is taken for markup, no control character is painted."""

    DEFAULT_CSS = "Words { height: auto; width: 1fr; }"

    def __init__(self, text: str = "", *, id: str | None = None, classes: str | None = None) -> None:
        self._shown = _steerless(text)
        self.plain = self._shown.plain
        super().__init__(self._shown, id=id, classes=classes, markup=False)

    def show(self, text: str | Content) -> None:
        """Show `text` in place of what stands.

        Where it stands already nothing is drawn, and the screen is only laid out anew where the text takes more lines
        or fewer: that is what costs time.
        """
        content = _steerless(text)
        if content.plain == self.plain and content.spans == self._shown.spans:
            return
        layout = self._rows_of(content.plain) != self._rows_of(self.plain)
        self._shown, self.plain = content, content.plain
        self.update(content, layout=layout)

    def _rows_of(self, text: str) -> int:
        """Lines that `text` takes; -1 where it has to be folded, which only the layout knows."""
        columns = self.content_size.width
        lines = text.split("\n")
        return len(lines) if max(map(len, lines)) <= columns else -1
