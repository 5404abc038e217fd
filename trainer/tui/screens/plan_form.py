"""A plan's form: looked at as it is typed, saved among the player's own plans; a shipped one stays as it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from textual.timer import Timer

from trainer.application.views.plan_form import PlanDraft, PlanForm, PlanFormView
from trainer.tui.messages import Looked, Told
from trainer.tui.screens.look import LookScreen
from trainer.tui.screens.plan_form_face import BESIDE_COLUMNS, PlanFormFace

if TYPE_CHECKING:
    from trainer.application.looking import Held, Looking
    from trainer.application.practice import Practice

LOOK_AFTER_S = 0.25
"""So long nothing is typed before the plan is looked at."""

NOT_SAVED = "Not saved: Esc again leaves it as it was, F6 saves it."


class FormSaved(Told):
    """The plan lies on the disk."""

    def __init__(self, where: str, draft: PlanDraft) -> None:
        super().__init__()
        self.where = where
        self.draft = draft


class PlanFormScreen(PlanFormFace):
    """The keys of the form, and what it is told. `plan_id` None makes a new plan."""

    def __init__(self, plan_id: str | None) -> None:
        super().__init__()
        self._plan_id = plan_id
        self.asked = self.answered = 0
        self._timer: Timer | None = None
        self._kept = False

    def on_mount(self) -> None:
        """Open the plan."""
        self.query_one("#block-page").display = False
        plan_id = self._plan_id

        def opened(practice: Practice) -> Looked:
            from trainer.application.planning.plan_form import open_form  # noqa: PLC0415 - heavy: in its thread

            return Looked(0, open_form(plan_id, practice.plan_folders))

        self.trainer.desk.ask(self, opened)

    def on_looked(self, message: Looked) -> None:
        """The form to fill in, or what was found of the newest draft."""
        message.stop()
        if isinstance(message.view, PlanForm):
            self.form, self.draft = message.view, message.view.draft
            self._saved_as = self.draft
            self._fill()
            self._look()
        elif message.number == self.asked and isinstance(message.view, PlanFormView):
            self.view, self.answered = message.view, message.number
            self.redraw()

    def on_input_changed(self) -> None:
        """Look at the plan once nothing is typed for a moment."""
        if self._collect():
            self._asked_to_leave = False
            if self._timer is not None:
                self._timer.stop()
            self._timer = self.set_timer(LOOK_AFTER_S, self._look)
            self.redraw()

    def _look(self) -> None:
        self.asked += 1
        number, draft = self.asked, self.draft

        def question(_: Looking, held: Held) -> Looked:
            from trainer.application.planning.plan_form import look_at  # noqa: PLC0415 - heavy: in its thread

            return Looked(number, look_at(draft, held.history, held.now, held.plan_folders))

        self.trainer.desk.look(self, question, in_a_round=True)

    # Keys

    def _turn_to(self, block: int | None) -> None:
        self._collect()
        self.block = block
        self._fill()

    def action_page_down(self) -> None:
        """The next block; behind the last the plan itself."""
        following = 0 if self.block is None else self.block + 1
        self._turn_to(following if following < len(self.draft.blocks) else None)

    def action_page_up(self) -> None:
        """The block before."""
        before = len(self.draft.blocks) - 1 if self.block is None else self.block - 1
        self._turn_to(before if before >= 0 else None)

    def action_add_block(self) -> None:
        """A block behind this one, to be filled in."""
        if self.form is None:
            return
        self._collect()
        at = len(self.draft.blocks) if self.block is None else self.block + 1
        fresh: Mapping[str, str] = {"drill": "knockdown baseline", "clubs": "7 iron", "balls": "12"}
        blocks = (*self.draft.blocks[:at], fresh, *self.draft.blocks[at:])
        self.draft, self.block = replace(self.draft, blocks=blocks), at
        self._fill()
        self._look()

    def action_drop_block(self) -> None:
        """Take this block out."""
        if self.block is None:
            self.say("PgDn goes to a block; F5 takes the one shown out", wrong=True)
            return
        at = self.block
        blocks = (*self.draft.blocks[:at], *self.draft.blocks[at + 1 :])
        self.draft = replace(self.draft, blocks=blocks)
        self.block = None if not blocks else min(at, len(blocks) - 1)
        self._fill()
        self._look()

    def action_next_choice(self) -> None:
        """The next answer of a field that has some; where several may stand, one more of them."""
        field = self.field
        if field is None or not field.choices:
            return
        line = self._line(field.key)
        if field.several:
            held = [part.strip() for part in line.value.split(",") if part.strip()]
            missing = [each for each in field.choices if each not in held]
            line.put(", ".join([*held, missing[0]]) if missing else "")
            return
        choices = ("", *field.choices)
        at = choices.index(line.value) if line.value in choices else self._nearest(line.value, choices) - 1
        line.put(choices[(at + 1) % len(choices)] or choices[1])

    def _nearest(self, typed: str, choices: tuple[str, ...]) -> int:
        """The first answer that what was typed begins, else the first one."""
        return next((i for i, each in enumerate(choices) if each and each.startswith(typed.lower())), 1)

    def action_turn_over(self) -> None:
        """The file in the place of the form where both have no room, else the file or none."""
        if self.window.width < BESIDE_COLUMNS:
            self.toggle_class("turned")
        else:
            self.file_shown = not self.file_shown
        self.redraw()

    def action_save(self) -> None:
        """Save it among the player's own plans."""
        if self.form is None:
            return
        self._collect()
        draft = self.draft

        def save(practice: Practice) -> FormSaved:
            from trainer.application.planning.plan_form import save as save_plan  # noqa: PLC0415 - heavy: in its thread

            where, kept = save_plan(draft, practice.plan_folders)
            return FormSaved(str(where), kept)

        self.trainer.desk.ask(self, save)

    def on_form_saved(self, message: FormSaved) -> None:
        """It lies there; the day offers it now."""
        message.stop()
        same = (self.draft.plan, self.draft.blocks) == (message.draft.plan, message.draft.blocks)
        self.draft = replace(self.draft, source=message.draft.source, shipped=False)
        if self.form is not None:
            self.form = replace(self.form, said=f"Your own plan, in {message.where}")
        self._saved_as = self.draft if same else message.draft
        self._kept, self._asked_to_leave = True, False
        self.trainer.day_changed()
        self.redraw()
        self.say(f"saved: {message.where}")

    def action_back(self) -> None:
        """Out; what is not saved is asked about once."""
        self._collect()
        if self.has_unsaved and not self._asked_to_leave:
            self._asked_to_leave = True
            self.say(NOT_SAVED, wrong=True)
            return
        self.leave()
        beneath = self.trainer.screen
        if self._kept and isinstance(beneath, LookScreen):
            beneath.question()
