"""What is drawn on a page, read back as numbers: boxes that texts, rectangles and lines take up, in mm."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from xml.etree import ElementTree

from trainer.exchange.page_svg import HEIGHT_MM, WIDTH_MM, width_mm

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Extent:
    """What something takes up; `text` is empty for a drawing."""

    left: float
    top: float
    right: float
    bottom: float
    text: str = ""

    def overlaps(self, other: Extent, by_mm: float = 0.05) -> bool:
        """Whether they share a place."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > by_mm and down > by_mm


def pages_of(html: str) -> list[ElementTree.Element]:
    """The SVG pages of a file; ParseError where one is not well formed."""
    return [ElementTree.fromstring(found) for found in re.findall(r"<svg.*?</svg>", html, re.DOTALL)]


def _number(node: ElementTree.Element, name: str) -> float:
    return float(node.get(name, "nan"))


def texts_of(page: ElementTree.Element) -> list[Extent]:
    """Every text, as wide as the widest of the fonts would set it (bold letters a tenth wider)."""
    found = []
    for node in page.iter(f"{SVG}text"):
        size, words = _number(node, "font-size"), node.text or ""
        wide = width_mm(words, size)
        x, y = _number(node, "x"), _number(node, "y")
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[node.get("text-anchor", "start")]
        found.append(Extent(left, y - 0.74 * size, left + wide, y + 0.2 * size, words))
    return found


def boxes_of(page: ElementTree.Element) -> list[Extent]:
    """Every rectangle but the page's own."""
    found = []
    for node in page.iter(f"{SVG}rect"):
        x, y, wide, high = (_number(node, name) for name in ("x", "y", "width", "height"))
        if wide < WIDTH_MM:
            found.append(Extent(x, y, x + wide, y + high))
    return found


def lines_of(page: ElementTree.Element) -> list[Extent]:
    """Every line."""
    found = []
    for node in page.iter(f"{SVG}line"):
        left, top, right, bottom = (_number(node, name) for name in ("x1", "y1", "x2", "y2"))
        found.append(Extent(left, top, right, bottom))
    return found


def assert_on_the_page(page: ElementTree.Element, margin_mm: float = 4.0) -> None:
    """Everything lies inside the page with white around it: printers leave 3 to 4 mm out (common practice)."""
    for each in (*texts_of(page), *boxes_of(page), *lines_of(page)):
        assert each.left >= margin_mm, each
        assert each.top >= margin_mm, each
        assert each.right <= WIDTH_MM - margin_mm, each
        assert each.bottom <= HEIGHT_MM - margin_mm, each


def assert_no_two_texts_share_a_place(page: ElementTree.Element) -> None:
    """No text is set over another."""
    assert_none_overlap([each for each in texts_of(page) if each.text.strip()])


def assert_none_overlap(extents: Iterable[Extent]) -> None:
    """No two share a place."""
    from_the_top = sorted(extents, key=lambda each: each.top)
    for number, one in enumerate(from_the_top):
        for other in from_the_top[number + 1 :]:
            if other.top >= one.bottom:
                break  # it and all after it begin below
            assert not one.overlaps(other), (one, other)
