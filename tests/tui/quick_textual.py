"""Textual with less to do where nobody looks: style sheets are parsed once, and a screen is painted when it goes.

Textual parses its own and our style sheets for every program anew, and paints up to sixty times a second for a
driver that throws it away. Here what a sheet says is kept by all that it depends on. A screen is laid out as ever,
and painted, whole, when it goes and, if it stands in front, at the end. `tests/tui/test_looks.py` and its neighbours
paint what they look at themselves, and the tests that start a real terminal have everything painted.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from textual._compositor import Compositor
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.screen import Screen

_parse_rules = Stylesheet._parse_rules
_rules: dict[object, list[RuleSet]] = {}


def _kept_rules(sheet: Stylesheet, css: str, *where: Any, **named: Any) -> list[RuleSet]:
    key = (frozenset(sheet._variables.items()), css, where, frozenset(named.items()))
    if key not in _rules:
        _rules[key] = _parse_rules(sheet, css, *where, **named)
    return _rules[key]


def _unpainted(compositor: Compositor, *_: object, **__: object) -> None:
    """Nothing to show, and nothing left over to show later."""
    compositor._dirty_regions.clear()


def paint(screen: Screen[Any]) -> None:
    """Paint a screen whole, as if it had just come."""
    screen._compositor.render_full_update()


@contextmanager
def sheets_kept() -> Iterator[None]:
    """What a style sheet says is worked out once."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Stylesheet, "_parse_rules", _kept_rules)
        yield


@contextmanager
def quick_textual() -> Iterator[None]:
    """What is said at the top."""
    suspend = Screen._on_screen_suspend

    def painted(screen: Screen[Any]) -> None:
        if screen not in screen.app.screen_stack:
            paint(screen)
        suspend(screen)

    with sheets_kept(), pytest.MonkeyPatch.context() as patched:
        patched.setattr(Compositor, "render_update", _unpainted)
        patched.setattr(Screen, "_on_screen_suspend", painted)
        yield
