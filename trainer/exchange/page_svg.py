"""Pages for print: drawn in millimetres as SVG, black on white, alone in one HTML file that needs nothing else.

A page fits A4 and US Letter alike, with `MARGIN_MM` of white around. Every text that comes in is made harmless here:
escaped, and without characters that XML forbids or that steer a screen.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from trainer.exchange.plain_text import blanked

WIDTH_MM, HEIGHT_MM, MARGIN_MM = 210.0, 279.0, 10.0
"""As wide as A4, as high as Letter."""

INNER_MM = WIDTH_MM - 2 * MARGIN_MM
_FONT = "DejaVu Sans, Liberation Sans, Helvetica, Arial, sans-serif"
_NARROW, _WIDE, _SIGNS = frozenset("ijlIf.,:;'|!()[] "), frozenset("mwMW@%—…"), frozenset('+=<>~^#±×−–•°&"')
_NARROW_EM, _USUAL_EM, _CAPITAL_EM, _SIGN_EM, _WIDE_EM, _LATIN_EM, _OTHER_EM = 0.41, 0.66, 0.8, 0.84, 1.0, 1.1, 1.9
_BOLD = 1.15
"""Widths of letters in ems, no less than the advance widths of DejaVu Sans, the widest of the fonts named."""


def shown(text: str) -> str:
    """`text` as it may stand in a page: what cannot be printed is a blank, marks of HTML are escaped."""
    return escape(blanked(text))


def width_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """How wide `text` is set at `size_mm`, at most."""
    return size_mm * sum(map(_width_em, text)) * (_BOLD if bold else 1.0)


def _width_em(letter: str) -> float:
    for letters, width in ((_NARROW, _NARROW_EM), (_WIDE, _WIDE_EM), (_SIGNS, _SIGN_EM)):
        if letter in letters:
            return width
    if not letter.isascii():
        return _LATIN_EM if ord(letter) < 0x180 else _OTHER_EM
    return _CAPITAL_EM if letter.isupper() else _USUAL_EM


def fitted(text: str, size_mm: float, room_mm: float, *, bold: bool = False) -> str:
    """`text`, cut with `…` where it is wider than `room_mm`."""
    if width_mm(text, size_mm, bold=bold) <= room_mm:
        return text
    cut = text
    while cut and width_mm(f"{cut}…", size_mm, bold=bold) > room_mm:
        cut = cut[:-1]
    return f"{cut}…"


def broken(text: str, size_mm: float, room_mm: float) -> list[str]:
    """`text` in lines no wider than `room_mm`; a word wider than that is cut."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if line and width_mm(longer, size_mm) > room_mm:
            lines.append(line)
            longer = word
        line = fitted(longer, size_mm, room_mm)
    return [*lines, line] if line else lines


def words(x: float, y: float, text: str, size: float, *, anchor: str = "start", weight: str = "normal") -> str:
    """Text with its base line at `y`."""
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:g}" text-anchor="{anchor}" font-weight="{weight}">'
        f"{shown(text)}</text>"
    )


def box(x: float, y: float, width: float, height: float, *, fill: str = "none", stroke_mm: float = 0.25) -> str:
    """A rectangle from its upper left corner; `stroke_mm` of 0 leaves the edge out."""
    stroke = f'stroke="#000" stroke-width="{stroke_mm:g}"' if stroke_mm else 'stroke="none"'
    return f'<rect x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{height:.2f}" fill="{fill}" {stroke}/>'


def rule(x1: float, y1: float, x2: float, y2: float, *, width: float = 0.25, dashes: str = "") -> str:
    """A line; `dashes` are lengths in mm."""
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="#000" '
        f'stroke-width="{width:g}"{dashed}/>'
    )


def page(title: str, drawn: Iterable[str]) -> str:
    """One page of what is `drawn`, as SVG."""
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH_MM:g}mm" height="{HEIGHT_MM:g}mm" '
            f'viewBox="0 0 {WIDTH_MM:g} {HEIGHT_MM:g}" font-family="{_FONT}">',
            f"<title>{shown(title)}</title>",
            box(0, 0, WIDTH_MM, HEIGHT_MM, fill="#fff", stroke_mm=0),
            *drawn,
            "</svg>",
        ]
    )


def html(title: str, pages: Sequence[str]) -> str:
    """`pages` in one HTML file; each prints on a sheet of its own."""
    return "\n".join(
        [
            "<!doctype html>",
            '<html lang="en"><head><meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width">',
            f"<title>{shown(title)}</title>",
            "<style>@page { margin: 0 } body { margin: 0 } svg { display: block; max-width: 100%; height: auto }",
            "@media print { svg { max-width: none; break-after: page }",
            "svg:last-child { break-after: auto } }</style>",
            "</head><body>",
            *pages,
            "</body></html>",
            "",
        ]
    )
