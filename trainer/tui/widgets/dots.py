"""A small canvas of braille dots: two across and four down in every character."""

from __future__ import annotations

import math

_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_BLANK = 0x2800


class Dots:
    """Dots on `columns` × `rows` characters; (0, 0) is the top left dot."""

    def __init__(self, columns: int, rows: int) -> None:
        self.width, self.height = 2 * columns, 4 * rows
        self._cells = [[0] * columns for _ in range(rows)]

    def dot(self, x: float, y: float) -> None:
        """Set the nearest dot, if it is on the canvas."""
        column, row = math.floor(x + 0.5), math.floor(y + 0.5)
        if 0 <= column < self.width and 0 <= row < self.height:
            self._cells[row // 4][column // 2] |= _BITS[row % 4][column % 2]

    def line(self, x0: float, y0: float, x1: float, y1: float, gap: int = 1) -> None:
        """A straight line; every `gap`th dot of it."""
        steps = max(round(max(abs(x1 - x0), abs(y1 - y0))), 1)
        for step in range(0, steps + 1, gap):
            self.dot(x0 + (x1 - x0) * step / steps, y0 + (y1 - y0) * step / steps)

    def lines(self) -> list[str]:
        """The canvas as text, empty characters as spaces."""
        return ["".join(chr(_BLANK + cell) if cell else " " for cell in row) for row in self._cells]
