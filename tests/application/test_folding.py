"""Text folded for a terminal."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from trainer.application.views.folding import TEXT_WIDTH, folded, paragraphs, wrapped

WORD = st.text(st.characters(codec="ascii", categories=("Ll", "Nd")) | st.just("-"), min_size=1, max_size=30)


@given(st.lists(WORD, min_size=1, max_size=60))
def test_words_stay_whole_and_in_order_and_lines_fit(words: list[str]) -> None:
    text = " ".join(words)
    for lines in (folded(text), folded(text, indent="  ", hanging="    "), wrapped([f"a {text}"])):
        assert max(map(len, lines)) <= TEXT_WIDTH
        assert " ".join(lines).split()[-len(words) :] == words


def test_a_path_longer_than_a_line_stays_one_word() -> None:
    path = "/" + "folder-with-a-long-name/" * 6
    assert path in folded(f"Wrote shots.csv to {path} and nothing else.")


def test_an_empty_paragraph_is_a_blank_line() -> None:
    assert paragraphs("one", "", "two") == "one\n\ntwo"
