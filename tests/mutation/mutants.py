"""Small wrong programs made from a right one: every place of a module where one can be made, and the making."""

from __future__ import annotations

import ast
import copy
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeVar

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
"""An order loses or gains its end, everything else is turned round."""

CALCULATED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Div, ast.Mod: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.MatMult: ast.Mult,
}  # fmt: skip

FLOAT_NUDGE = 1.1
"""A tenth more: what a test with an honest tolerance must notice."""

T = TypeVar("T", bound=ast.AST)


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change: the `number`-th place of its module, where it is and what it says before and after."""

    number: int
    line: int
    before: str
    after: str


def mutants(source: str) -> list[Mutant]:
    """Every mutant of a module's source, in the order of its text."""
    found = []
    for number, (node, change) in enumerate(_places(ast.parse(source))):
        changed = change(copy.deepcopy(node))
        found.append(Mutant(number, node.lineno, _shown(node), _shown(changed)))
    return found


def mutated(source: str, number: int) -> str:
    """The source with its `number`-th place changed, comments lost."""
    tree = ast.parse(source)
    node, change = list(_places(tree))[number]
    changed = change(copy.deepcopy(node))
    return ast.unparse(ast.fix_missing_locations(_Put(node, changed).visit(tree)))


class _Put(ast.NodeTransformer):
    """Puts one node in the place of another."""

    def __init__(self, old: ast.AST, new: ast.AST) -> None:
        self._old, self._new = old, new

    def visit(self, node: ast.AST) -> ast.AST:
        return self._new if node is self._old else super().generic_visit(node)


Change = Callable[[ast.AST], ast.AST]
Place = tuple["ast.expr | ast.stmt", Change]


def _places(tree: ast.Module) -> Iterator[Place]:
    for node in _living(tree):
        if isinstance(node, ast.expr | ast.stmt):
            for change in _changes(node):
                yield node, change


def _living(node: ast.AST) -> Iterator[ast.AST]:
    """Nodes whose change can change what the program does: no annotation, decorator or message of an error."""
    yield node
    for name, value in ast.iter_fields(node):
        if name in {"annotation", "returns", "decorator_list", "type_params"} or isinstance(node, ast.Raise):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not isinstance(child, ast.JoinedStr):
                yield from _living(child)


def _changes(node: ast.AST) -> Iterator[Change]:
    if isinstance(node, ast.Compare):
        for at, operation in enumerate(node.ops):
            if type(operation) in COMPARED:
                yield _of(ast.Compare, lambda n, at=at: n.ops.__setitem__(at, COMPARED[type(n.ops[at])]()))  # type: ignore[misc]  # bound at once
    elif isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in CALCULATED:
        yield _swap_operator
    elif isinstance(node, ast.BoolOp):
        yield _swap_boolean
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield lambda n: n.operand if isinstance(n, ast.UnaryOp) else n
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool | int | float):
        yield _nudge
    elif isinstance(node, ast.If | ast.IfExp | ast.While) and not isinstance(node.test, ast.Compare):
        yield _negate_test
    elif isinstance(node, ast.Return) and node.value is not None and not _is_none(node.value):
        yield _of(ast.Return, lambda n: setattr(n, "value", ast.Constant(None)))


def _of(kind: type[T], change: Callable[[T], None]) -> Change:
    def changed(node: ast.AST) -> ast.AST:
        assert isinstance(node, kind)
        change(node)
        return node

    return changed


def _swap_operator(node: ast.AST) -> ast.AST:
    assert isinstance(node, ast.BinOp | ast.AugAssign)
    node.op = CALCULATED[type(node.op)]()
    return node


def _swap_boolean(node: ast.AST) -> ast.AST:
    assert isinstance(node, ast.BoolOp)
    node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    return node


def _nudge(node: ast.AST) -> ast.AST:
    assert isinstance(node, ast.Constant)
    if isinstance(node.value, bool):
        node.value = not node.value
    elif isinstance(node.value, int):
        node.value += 1
    elif isinstance(node.value, float):
        node.value = node.value * FLOAT_NUDGE or 1.0
    return node


def _negate_test(node: ast.AST) -> ast.AST:
    assert isinstance(node, ast.If | ast.IfExp | ast.While)
    node.test = ast.UnaryOp(ast.Not(), node.test)
    return node


def _is_none(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def _shown(node: ast.AST) -> str:
    """The first line of what a node says."""
    return ast.unparse(ast.fix_missing_locations(node)).splitlines()[0]
