"""Every small change of a module that a test should notice, as JSON lines: ``python mutants.py FILE MOST SEED``.

Runs in an environment of its own, where mutmut is installed: its operators are used, and not its runner, which changes
functions alone and none that is decorated. Here whole modules are changed, so that tables, properties and commands are
as well. Added to mutmut's operators is one: an element less in a table. Left out are annotations, type variables,
``__all__``, decorators, what an error for programmers says, and a sentence in other capitals (mutmut makes three of a
text; one is enough).
"""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

import libcst as cst
from libcst.metadata import MetadataWrapper, PositionProvider
from mutmut.mutation.mutators import mutation_operators, operator_string

TABLES = (cst.Set, cst.Tuple, cst.List, cst.Dict)


def one_less(table: cst.BaseExpression) -> Iterable[cst.BaseExpression]:
    """A table with each of its elements left out in turn."""
    elements = list(table.elements)  # type: ignore[attr-defined]
    if len(elements) > 1:
        for index in range(len(elements)):
            left = elements[:index] + elements[index + 1 :]
            if len(left) == 1 and isinstance(table, cst.Tuple):
                left = [left[0].with_changes(comma=cst.Comma())]
            yield table.with_changes(elements=left)


def changed(node: cst.CSTNode) -> Iterator[cst.CSTNode]:
    """What stands in the place of a node in each of its mutants."""
    for kind, operator in mutation_operators:
        if isinstance(node, kind):
            made = list(operator(node))
            yield from made[:1] if operator is operator_string else made
    if isinstance(node, TABLES):
        yield from one_less(node)


class Finder(cst.CSTVisitor):
    """Gathers the nodes that may be changed, with what they become and the line on which they stand."""

    METADATA_DEPENDENCIES = (PositionProvider,)

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[int, cst.CSTNode, cst.CSTNode]] = []

    def on_visit(self, node: cst.CSTNode) -> bool:
        if isinstance(node, cst.Annotation | cst.Decorator | cst.Import | cst.ImportFrom) or _is_for_programmers(node):
            return False
        if isinstance(node, cst.Assign) and _is_for_checkers(node):
            return False
        if isinstance(node, cst.Expr) and isinstance(node.value, cst.SimpleString | cst.ConcatenatedString):
            return False  # words about the code
        if not isinstance(node, cst.Module):
            line = self.get_metadata(PositionProvider, node).start.line
            self.found += [(line, node, made) for made in changed(node)]
        return True


def _is_for_programmers(node: cst.CSTNode) -> bool:
    return (
        isinstance(node, cst.Raise)
        and isinstance(node.exc, cst.Call)
        and isinstance(node.exc.func, cst.Name)
        and node.exc.func.value in {"ValueError", "TypeError", "RuntimeError"}
    )


def _is_for_checkers(node: cst.Assign) -> bool:
    """What only a type checker or an import of everything reads: ``__all__``, a type variable."""
    names = {target.target.value for target in node.targets if isinstance(target.target, cst.Name)}
    made = node.value.func.value if isinstance(node.value, cst.Call) and isinstance(node.value.func, cst.Name) else ""
    return "__all__" in names or made in {"TypeVar", "ParamSpec"}


class Put(cst.CSTTransformer):
    """Puts one node in the place of another."""

    def __init__(self, old: cst.CSTNode, new: cst.CSTNode) -> None:
        super().__init__()
        self.old, self.new = old, new

    def on_leave(self, original_node: cst.CSTNode, updated_node: cst.CSTNode) -> cst.CSTNode:  # type: ignore[override]
        return self.new if original_node is self.old else updated_node


def mutants_of(source: str, most: int, seed: int) -> Iterator[dict[str, object]]:
    """Mutants of a module, so many and drawn by the seed: line, what stood there, what does now, the whole text."""
    wrapper = MetadataWrapper(cst.parse_module(source))
    finder = Finder()
    wrapper.visit(finder)
    known = {source}
    drawn = random.Random(seed).sample(finder.found, len(finder.found))
    print(len(drawn))
    for line, old, new in drawn:
        if len(known) > most:
            return
        try:
            module = wrapper.module.visit(Put(old, new))
            compile(module.code, "mutant", "exec")
        except (SyntaxError, cst.CSTValidationError, TypeError):
            continue  # not Python, so no mistake that anybody could make
        if module.code not in known:
            known.add(module.code)
            was, now = _code(wrapper.module, old), _code(wrapper.module, new)
            yield {"line": line, "was": was, "is": now, "source": module.code}


def _code(module: cst.Module, node: cst.CSTNode) -> str:
    return " ".join(module.code_for_node(node).split())


if __name__ == "__main__":
    for mutant in mutants_of(Path(sys.argv[1]).read_text(), int(sys.argv[2]), int(sys.argv[3])):
        print(json.dumps(mutant))
