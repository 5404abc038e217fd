"""The looks of a plan's form: its fields, its file beside them, what is wrong where, and how it suits this player."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from trainer.application.views.plan_form import (
    BLOCK_KEYS,
    PLAN_KEYS,
    FieldProblem,
    FormField,
    PlanDraft,
    PlanForm,
    PlanFormView,
)
from trainer.tui.actions import Place
from trainer.tui.screens.forms import FormScreen
from trainer.tui.screens.frame import COMPACT_ROWS
from trainer.tui.widgets.folding import cut, folded
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.toml_lines import toml_content
from trainer.tui.widgets.words import Words

BESIDE_COLUMNS = 76
"""From here on the file has room beside the form."""

_LABELS = {
    "id": "Id", "title": "Title", "level": "Level", "balls": "Balls", "minutes": "Minutes", "wind": "Wind",
    "for": "For", "note": "Note", "extends": "Extends", "ages": "Ages", "due": "Due", "drill": "Drill",
    "clubs": "Clubs", "grip_down": "Grip down", "swing": "Swing", "fit": "Fit", "target": "Target",
    "stage": "Stage", "aim": "Aim", "flag": "Flag", "cue": "Cue",
}  # fmt: skip


class PlanFormFace(FormScreen):
    """The plan's own lines on a page, each block on another; `block` is the one shown, None for the plan."""

    def __init__(self) -> None:
        super().__init__()
        self.form: PlanForm | None = None
        self.draft = PlanDraft({}, ())
        self.block: int | None = None
        self.view: PlanFormView | None = None
        self._saved_as: PlanDraft | None = None
        self._asked_to_leave = False
        self.file_shown = True

    @property
    def place(self) -> Place:
        """A plan's form."""
        return Place.PLAN_FORM

    def body(self) -> ComposeResult:
        """The fields, the file beside them, and what is said of the field that is typed into."""
        yield Words("one moment …", id="form-head", classes="strong")
        with Horizontal(id="form-body"):
            with Vertical(id="form-fields"):
                for page, keys in (("plan", PLAN_KEYS), ("block", BLOCK_KEYS)):
                    with Vertical(id=f"{page}-page", classes="form-page"):
                        for key in keys:
                            with Horizontal(classes="row"):
                                yield Words(f"  {_LABELS[key]}", classes="form-label", id=f"label-{page}-{key}")
                                yield Line(id=f"{page}-{key}")
            yield Words(id="toml", classes="table")
        yield Words(id="form-hint", classes="quiet")
        yield Words(id="said", classes="asked")

    # The lines

    @property
    def _page(self) -> str:
        return "plan" if self.block is None else "block"

    @property
    def _keys(self) -> tuple[str, ...]:
        return PLAN_KEYS if self.block is None else BLOCK_KEYS

    @property
    def _values(self) -> Mapping[str, str]:
        return self.draft.plan if self.block is None else self.draft.blocks[self.block]

    def _line(self, key: str) -> Line:
        return self.query_one(f"#{self._page}-{key}", Line)

    def _fill(self) -> None:
        """Put what the draft says into the lines of the page."""
        self.query_one("#plan-page").display = self.block is None
        self.query_one("#block-page").display = self.block is not None
        for key in self._keys:
            self._line(key).put(self._values.get(key, ""))
        self.set_focus(self._line(self._keys[0]))
        self.redraw()

    def _collect(self) -> bool:
        """Take what stands in the lines into the draft; whether anything changed."""
        if self.form is None:
            return False
        said = {key: self._line(key).value for key in self._keys if self._line(key).value.strip()}
        if said == dict(self._values):
            return False
        if self.block is None:
            self.draft = replace(self.draft, plan=said)
        else:
            blocks = list(self.draft.blocks)
            blocks[self.block] = said
            self.draft = replace(self.draft, blocks=tuple(blocks))
        return True

    # What is shown

    @property
    def key(self) -> str:
        """The field that is typed into."""
        focused = self.focused
        return (focused.id or "").partition("-")[2] if isinstance(focused, Line) else ""

    @property
    def field(self) -> FormField | None:
        """What is known of it."""
        if self.form is None:
            return None
        fields = self.form.plan_fields if self.block is None else self.form.block_fields
        return next((each for each in fields if each.key == self.key), None)

    def problem_at(self, block: int | None, key: str) -> FieldProblem | None:
        """What is wrong at a field."""
        problems = self.view.problems if self.view is not None else ()
        return next((each for each in problems if (each.block, each.key) == (block, key)), None)

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Another field: its hint, and its line in the file."""
        self.redraw()

    def redraw(self) -> None:
        """Head, labels, file, hint, and what is to be mended."""
        if self.form is None:
            return
        columns, rows = self.window
        page = "the plan itself" if self.block is None else f"block {self.block + 1} of {len(self.draft.blocks)}"
        star = " · not saved" if self.has_unsaved else ""
        title = self.draft.plan.get("title", "a plan")
        head = [cut(f"{title}: {page}{star}", columns - 2)]
        if self.block is None:
            head.append(cut(self.form.said, columns - 2))
        self.query_one("#form-head", Words).show("\n".join(head))
        for key in self._keys:
            mark = "?" if self.problem_at(self.block, key) else " "
            self.query_one(f"#label-{self._page}-{key}", Words).show(f"{mark} {_LABELS[key]}")
        self._draw_file()
        hint = folded(self._hint(), columns - 2)[: 3 if rows < COMPACT_ROWS else 4]
        self.query_one("#form-hint", Words).show("\n".join(hint))
        self._say_what_is_wrong(columns)

    @property
    def has_unsaved(self) -> bool:
        """Whether something stands here that no file holds."""
        return self._saved_as is not None and self.draft != self._saved_as

    def _draw_file(self) -> None:
        toml, view = self.query_one("#toml", Words), self.view
        beside = self.window.width >= BESIDE_COLUMNS
        before = toml.display
        toml.display = self.file_shown and (beside or self._turned)
        if toml.display != before:
            # How much of it has room is known once it has come.
            self.soon(self._draw_file)
        self.query_one("#form-fields").display = beside or not self._turned
        if view is not None and toml.display:
            wrong = {view.places.get((each.block, each.key), -1) for each in view.problems}
            here = view.places.get((self.block, self.key))
            size = toml.size
            toml.show(toml_content(view.toml, here, wrong, max(size.width - 1, 20), max(size.height, 5)))

    @property
    def _turned(self) -> bool:
        return self.has_class("turned")

    def _hint(self) -> str:
        field = self.field
        if field is None or self.form is None:
            return ""
        typed = self._values.get(field.key, "").lower()
        if field.key == "drill" and typed in self.form.drills:
            return self.form.drills[typed]
        fitting = [each for each in field.choices if typed in each.lower() and each.lower() != typed] or field.choices
        answers = f" F3: {', '.join(fitting)}" if field.choices else ""
        return f"{field.hint}{answers}".strip()

    def _say_what_is_wrong(self, columns: int) -> None:
        if self.view is None or self._asked_to_leave:
            return
        here = self.problem_at(self.block, self.key)
        problems = [here] if here is not None else list(self.view.problems[:1])
        if problems:
            more = len(self.view.problems) - 1
            where = "" if here is not None else f"{_where(problems[0])}: "
            said = f"{where}{problems[0].words}" + (f" ({more} more)" if more > 0 else "")
            self.say("\n".join(folded(f"? {said}", columns - 2)[:3]), wrong=True)
        elif self.view.own:
            mark = "" if self.view.suits else "? "
            lines = [line for each in self.view.own for line in folded(f"{mark}{each}", columns - 2)]
            self.say("\n".join(lines[:3]), wrong=not self.view.suits)

    def as_text(self) -> str:
        """The file: what `trainer plan check` reads."""
        return super().as_text() if self.view is None else self.view.toml.rstrip("\n")


def _where(problem: FieldProblem) -> str:
    label = _LABELS.get(problem.key, problem.key or "plan")
    return label if problem.block is None else f"block {problem.block + 1}, {label.lower()}"
