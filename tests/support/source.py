"""The project's own source as parsed modules, for the tests that hold it to its rules."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "isothrust"

Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True)
class Module:
    """One source file."""

    path: Path

    @property
    def place(self) -> str:
        return self.path.relative_to(ROOT).as_posix()

    @property
    def name(self) -> str:
        parts = self.path.relative_to(ROOT / "src").with_suffix("").parts
        return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)

    @property
    def is_package(self) -> bool:
        return self.path.name == "__init__.py"

    @cached_property
    def text(self) -> str:
        return self.path.read_text(encoding="utf-8")

    @cached_property
    def tree(self) -> ast.Module:
        return ast.parse(self.text)

    @cached_property
    def functions(self) -> tuple[Function, ...]:
        return tuple(node for node in ast.walk(self.tree) if isinstance(node, Function))

    def code_lines(self, function: Function) -> int:
        """Lines of a function that hold code: no docstring, no blank and no comment lines."""
        skipped: set[int] = set()
        if ast.get_docstring(function, clean=False) is not None:
            docstring = function.body[0]
            skipped.update(range(docstring.lineno, (docstring.end_lineno or docstring.lineno) + 1))
        lines = self.text.splitlines()
        numbers = range(function.lineno, (function.end_lineno or function.lineno) + 1)
        return sum(
            1
            for number in numbers
            if number not in skipped and lines[number - 1].strip() and not lines[number - 1].lstrip().startswith("#")
        )


@cache
def modules(folder: Path = PACKAGE) -> tuple[Module, ...]:
    return tuple(Module(path) for path in sorted(folder.rglob("*.py")))


def argument_names(function: Function) -> list[str]:
    spec = function.args
    names = [argument.arg for argument in (*spec.posonlyargs, *spec.args, *spec.kwonlyargs)]
    return names[1:] if names[:1] in (["self"], ["cls"]) else names


def is_type_checking(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and ast.unparse(node.test) in {"TYPE_CHECKING", "typing.TYPE_CHECKING"}


def run_time_nodes(tree: ast.AST) -> Iterator[ast.AST]:
    """Every node that is there at run time: nothing below `if TYPE_CHECKING`."""
    for node in ast.iter_child_nodes(tree):
        if is_type_checking(node):
            continue
        yield node
        yield from run_time_nodes(node)
