"""What can be done on the screens that have something done: import, following, a group, a squad, a plan's form."""

from __future__ import annotations

from trainer.tui.action_kinds import FORMS, WORK, Action, Place

_TABLES: tuple[Action, ...] = (
    Action("pick", "open", "Open what is pointed at, or go into the folder.", (Place.PICK,), line_keys=("enter",),
           footer=(Place.PICK,)),
    Action("complete", "complete", "Complete the path as far as there is no doubt.", (Place.PICK,),
           line_keys=("tab",), footer=(Place.PICK,)),
    Action("digit", "answer", "The digit before an answer gives it.", (Place.ANSWER,), shown_key="1–9",
           footer=(Place.ANSWER,)),
    Action("choose", "give it", "Give the answer that is pointed at.", (Place.ANSWER,), keys=("enter",),
           footer=(Place.ANSWER,)),
    Action("keep_rows", "keep", "Keep the rows that are shots, all or none; or read them again.", (Place.IMPORT,),
           keys=("enter",), footer=(Place.IMPORT,)),
    Action("ask", "weather", "Type the weather in which all rows were hit, such as 14mph 1h turf firm.",
           (Place.IMPORT,), keys=("t", "w"), footer=(Place.IMPORT,)),
    Action("ask_anew", "ask again", "Ask every question of the columns again, whatever is remembered of such files.",
           (Place.IMPORT,), keys=("r",)),
    Action("take_back", "take back", "Take the whole import back.", (Place.IMPORT,), keys=("u",),
           footer=(Place.IMPORT,)),
    Action("stop", "stop", "Stop reading or keeping; nothing is kept then.", (Place.IMPORT, Place.RESULT),
           keys=("x",)),
    Action("keep_row", "keep", "Keep the row that waits.", (Place.FOLLOW,), keys=("enter", "space"),
           footer=(Place.FOLLOW,)),
    Action("as_ball", "ball", "Keep the row as the ball the plan asks for: the club in the file was wrong.",
           (Place.FOLLOW,), keys=("b",), footer=(Place.FOLLOW,)),
    Action("leave_row", "leave", "Leave the row out for good.", (Place.FOLLOW,), keys=("n",),
           footer=(Place.FOLLOW,)),
    Action("ask", "answer", "Type the answer to a question about the columns that has no list.", (Place.FOLLOW,),
           keys=("t",)),
    Action("unasked", "ask/take", "Ask about every row, or take those that are the next ball without doubt.",
           (Place.FOLLOW,), keys=("a",), footer=(Place.FOLLOW,)),
    Action("other", "another table", "Follow another table instead.", (Place.FOLLOW,), keys=("o",)),
    Action("follow", "follow a table", "Follow a table that grows while you play: each new row becomes a ball.",
           (Place.LINE, Place.PAD), keys=("r",), word="follow"),
)  # fmt: skip

_GROUP: tuple[Action, ...] = (
    Action("go", "begin", "Begin, or go on with the evening that is named.", (Place.GROUP_SETUP,),
           line_keys=("enter",), footer=(Place.GROUP_SETUP,)),
    Action("player_down", "player", "The next player.", (Place.GROUP,), keys=("down", "j"), footer=(Place.GROUP,)),
    Action("player_up", "player before", "The player before.", (Place.GROUP,), keys=("up", "k")),
    Action("ball_left", "older ball", "Point at an older ball; a digit then corrects it.", (Place.GROUP,),
           keys=("left", "h")),
    Action("ball_right", "newer ball", "Point at a newer ball, at last at the next one.", (Place.GROUP,),
           keys=("right", "l")),
    Action("next_station", "station", "The next station.", (Place.GROUP,), keys=("n", "tab"), footer=(Place.GROUP,)),
    Action("last_station", "station before", "The station before.", (Place.GROUP,), keys=("p",)),
    Action("undo", "take back", "Take the last ball of this station back.", (Place.GROUP,), keys=("u", "backspace"),
           footer=(Place.GROUP,)),
    Action("ask", "wind", "Type a new reading: it holds for every ball from now on.", (Place.GROUP,),
           keys=("w", "t"), footer=(Place.GROUP,)),
    Action("sheets", "sheets", "Write sheets to print and tally on, and the file to type them into.",
           (Place.GROUP,), keys=("s",)),
)  # fmt: skip

_CROWD: tuple[Action, ...] = (
    Action("be", "this one", "Be the player that is pointed at, or go to the squad or a group.", (Place.CROWD,),
           keys=("enter",), footer=(Place.CROWD,)),
    Action("down", "down", "Down.", (Place.CROWD,), keys=("j", "down"), footer=(Place.CROWD,)),
    Action("up", "up", "Up.", (Place.CROWD,), keys=("k", "up")),
)  # fmt: skip

_SQUAD: tuple[Action, ...] = (
    Action("look", "squad", "For a coach whose store holds no player of his own: the squad.", (Place.FIRST_RUN,),
           line_keys=("f2",), footer=(Place.FIRST_RUN,)),
    Action("open", "open", "Open the member that is pointed at.", (Place.SQUAD,), keys=("enter",),
           footer=(Place.SQUAD,)),
    Action("assign", "assign", "Write a plan out for members, by file.", (Place.SQUAD, Place.MEMBER),
           keys=("g",), footer=(Place.SQUAD,)),
    Action("collect", "collect", "Read the result files of a folder in; nothing is ever overwritten.",
           (Place.SQUAD,), keys=("c",), footer=(Place.SQUAD,)),
    Action("ask", "add", "Add a member or change one: kestrel 14-15 consent 2026-05-01 keep 2027-05-01.",
           (Place.SQUAD,), keys=("n", "t"), footer=(Place.SQUAD,)),
    Action("accept", "accept", "Accept what was submitted; asked once more.", (Place.MEMBER,), keys=("a",),
           footer=(Place.MEMBER,)),
    Action("give_back", "return", "Give it back, to be done again.", (Place.MEMBER,), keys=("r",),
           footer=(Place.MEMBER,)),
    Action("ask", "note", "Note something on him; it stays in this store.", (Place.MEMBER,), keys=("n", "t"),
           footer=(Place.MEMBER,)),
    Action("next_assignment", "assignment", "Point at the next assignment.", (Place.MEMBER,), keys=("right", "l"),
           footer=(Place.MEMBER,)),
    Action("last_assignment", "assignment before", "Point at the assignment before.", (Place.MEMBER,),
           keys=("left", "h")),
    Action("send", "write", "Write a folder for each, and keep what was assigned.", (Place.ASSIGN,),
           line_keys=("enter",), footer=(Place.ASSIGN,)),
    Action("corrections", "take corrections", "Collect again, with what was put right since; the old is kept.",
           (Place.RESULT,), keys=("t",)),
)  # fmt: skip

_FORM: tuple[Action, ...] = (
    Action("make", "new", "Make a plan of your own in a form.", (Place.PLANS,), keys=("n",), footer=(Place.PLANS,)),
    Action("change", "edit", "Change the plan in a form; a shipped one is copied first.", (Place.PLANS,),
           keys=("e",), footer=(Place.PLANS,)),
    Action("save", "save", "Save the plan among your own.", (Place.PLAN_FORM,), line_keys=("f6",),
           footer=(Place.PLAN_FORM,)),
    Action("next_choice", "answer", "The next answer of a field that has some.", (Place.PLAN_FORM,),
           line_keys=("f3",), footer=(Place.PLAN_FORM,)),
    Action("page_down", "block", "The next block; behind the last comes the plan itself.", (Place.PLAN_FORM,),
           line_keys=("pagedown",), footer=(Place.PLAN_FORM,)),
    Action("page_up", "block before", "The block before.", (Place.PLAN_FORM,), line_keys=("pageup",)),
    Action("back", "back", "Go back; what is not saved is asked about once.", (Place.PLAN_FORM,),
           line_keys=("escape",), footer=(Place.PLAN_FORM,)),
    Action("add_block", "add block", "Add a block behind this one.", (Place.PLAN_FORM,), line_keys=("f4",),
           footer=(Place.PLAN_FORM,)),
    Action("drop_block", "drop block", "Take this block out.", (Place.PLAN_FORM,), line_keys=("f5",)),
    Action("turn_over", "file", "The file beside the form: more of it, or none, in a narrow window.",
           (Place.PLAN_FORM,), line_keys=("f7",), footer=(Place.PLAN_FORM,)),
)  # fmt: skip

_LISTS = (Place.ANSWER, Place.SQUAD)
_PAGES = (Place.IMPORT, Place.FOLLOW, Place.MEMBER, Place.RESULT)
_LINES = tuple(place for place in FORMS if place is not Place.PLAN_FORM)
_FIELDS = (Place.GROUP_SETUP, Place.ASSIGN, Place.PLAN_FORM)

_MOVING: tuple[Action, ...] = (
    Action("next_field", "next", "The next line.", _FIELDS, line_keys=("tab", "down"),
           footer=(Place.GROUP_SETUP, Place.ASSIGN)),
    Action("last_field", "line before", "The line before.", _FIELDS, line_keys=("shift+tab", "up")),
    Action("down", "down", "Down.", (*_LISTS, *_PAGES), keys=("j", "down")),
    Action("up", "up", "Up.", (*_LISTS, *_PAGES), keys=("k", "up")),
    Action("down", "down", "The row below.", (Place.PICK,), line_keys=("down",), footer=(Place.PICK,)),
    Action("up", "up", "The row above.", (Place.PICK,), line_keys=("up",)),
    Action("page_down", "page down", "A page down.", (*_LISTS, *_PAGES), keys=("pagedown",)),
    Action("page_up", "page up", "A page up.", (*_LISTS, *_PAGES), keys=("pageup",)),
    Action("back", "back", "Go back to where you came from.", WORK, keys=("escape", "q"), footer=WORK),
    Action("back", "back", "Go back to where you came from.", _LINES, line_keys=("escape",), footer=_LINES),
    Action("look", "look at", "Look at something else.", (Place.IMPORT, Place.SQUAD, Place.MEMBER, Place.RESULT),
           line_keys=("f2",)),
)  # fmt: skip

WORK_ACTIONS: tuple[Action, ...] = (*_CROWD, *_TABLES, *_GROUP, *_SQUAD, *_FORM, *_MOVING)
"""Everything on these screens, in the order of help."""
