from __future__ import annotations

import re
from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from tests.exchange.drawn import pages_of
from trainer.exchange.page_svg import broken, fitted, html, page, width_mm, words

ATTACKS = (
    "<script>alert(1)</script>",
    "</text></svg><img src=x onerror=alert(1)>",
    '" onload="x',
    "&lt;b&gt;",
    "\x1b[31mred\x1b[0m",
    "]]><!--",
    "\u202eevil",
    "\ud800",
    "\x00\uffff",
)
texts = st.one_of(st.sampled_from(ATTACKS), st.text(max_size=40))


class Tags(HTMLParser):
    """The tags and attributes that a browser would see."""

    def __init__(self) -> None:
        super().__init__()
        self.seen: set[tuple[str, tuple[str, ...]]] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add((tag, tuple(name for name, _ in attrs)))


def tags_in(text: str) -> set[tuple[str, tuple[str, ...]]]:
    reader = Tags()
    reader.feed(text)
    return reader.seen


@given(texts)
def test_no_text_becomes_a_mark(text: str) -> None:
    made, plain = (html(each, [page(each, [words(5, 5, each, 3)])]) for each in (text, "plain"))
    assert tags_in(made) == tags_in(plain)
    assert re.search(r"[\x00-\x09\x0b-\x1f\x7f\ud800-\udfff\u202e]", made) is None
    (drawn,) = pages_of(made)
    (node,) = drawn.iter("{http://www.w3.org/2000/svg}text")
    assert (node.text or "") == "".join(letter if letter.isprintable() else " " for letter in text)


def test_nothing_is_fetched() -> None:
    made = html("t", [page("t", [words(5, 5, "x", 3)])])
    assert re.findall(r"(?:src|href|url|@import)", made) == []
    assert re.findall(r"https?://[^\"]+", made) == ["http://www.w3.org/2000/svg"]  # a name, never fetched


@given(st.text(max_size=60), st.floats(1, 6), st.floats(5, 100))
def test_what_is_fitted_fits(text: str, size_mm: float, room_mm: float) -> None:
    assert width_mm(fitted(text, size_mm, room_mm), size_mm) <= max(room_mm, width_mm("…", size_mm))


@given(st.text(max_size=200), st.floats(1, 4), st.floats(30, 190))
def test_lines_hold_every_word_that_fits_and_none_is_too_wide(text: str, size_mm: float, room_mm: float) -> None:
    lines = broken(text, size_mm, room_mm)
    assert all(width_mm(line, size_mm) <= room_mm for line in lines)
    if all(width_mm(word, size_mm) <= room_mm for word in text.split()):
        assert " ".join(lines).split() == text.split()
