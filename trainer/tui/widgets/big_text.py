"""Letters three lines high out of half blocks: to be read from two steps behind the ball."""

from __future__ import annotations

_ROWS: dict[str, str] = {
    "A": ".#. #.# ### #.# #.#",
    "B": "##. #.# ##. #.# ##.",
    "C": ".## #.. #.. #.. .##",
    "D": "##. #.# #.# #.# ##.",
    "E": "### #.. ##. #.. ###",
    "F": "### #.. ##. #.. #..",
    "G": ".### #... #.## #..# .###",
    "H": "#.# #.# ### #.# #.#",
    "I": "# # # # #",
    "J": "..# ..# ..# #.# .#.",
    "K": "#..# #.#. ##.. #.#. #..#",
    "L": "#.. #.. #.. #.. ###",
    "M": "#...# ##.## #.#.# #...# #...#",
    "N": "#..# ##.# #.## #..# #..#",
    "O": "### #.# #.# #.# ###",
    "P": "##. #.# ##. #.. #..",
    "Q": ".##. #..# #..# #.#. .#.#",
    "R": "##. #.# ##. #.# #.#",
    "S": ".## #.. .#. ..# ##.",
    "T": "### .#. .#. .#. .#.",
    "U": "#.# #.# #.# #.# ###",
    "V": "#.# #.# #.# #.# .#.",
    "W": "#...# #...# #.#.# ##.## #...#",
    "X": "#.# #.# .#. #.# #.#",
    "Y": "#.# #.# .#. .#. .#.",
    "Z": "### ..# .#. #.. ###",
    "0": "### #.# #.# #.# ###",
    "1": ".# ## .# .# .#",
    "2": "### ..# ### #.. ###",
    "3": "### ..# .## ..# ###",
    "4": "#.# #.# ### ..# ..#",
    "5": "### #.. ### ..# ###",
    "6": "### #.. ### #.# ###",
    "7": "### ..# .#. .#. .#.",
    "8": "### #.# ### #.# ###",
    "9": "### #.# ### ..# ###",
    "-": "... ... ### ... ...",
    ".": ". . . . #",
    "/": "..# ..# .#. #.. #..",
    " ": ".. .. .. .. ..",
}
"""Five rows of dots a letter; drawn by hand for this program."""

HEIGHT = 3
_HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


def can_draw(text: str) -> bool:
    """Whether every letter of `text` is in the alphabet."""
    return all(letter in _ROWS for letter in text.upper())


def big_lines(text: str) -> list[str]:
    """`text` as `HEIGHT` lines of equal length; a letter that is not in the alphabet is left out."""
    dots = [""] * (2 * HEIGHT)
    for letter in text.upper():
        rows = _ROWS.get(letter, "").split()
        if rows:
            padded = [*rows, "." * len(rows[0])]
            dots = [line + row + "." for line, row in zip(dots, padded, strict=True)]
    pairs = zip(dots[::2], dots[1::2], strict=True)
    return [
        "".join(_HALVES[top == "#", bottom == "#"] for top, bottom in zip(*pair, strict=True)).rstrip()
        for pair in pairs
    ]


def big_width(text: str) -> int:
    """Columns that `big_lines` takes."""
    return max((len(line) for line in big_lines(text)), default=0)
