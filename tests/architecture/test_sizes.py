"""Sizes: a file has at most 400 lines, a function 60 lines of code and 7 arguments."""

from __future__ import annotations

import ast
from pathlib import Path

from support.source import ROOT, Module, argument_names, modules

FILE_LINES = 400
FUNCTION_LINES = 60
ARGUMENTS = 7

# What is larger, how large, and why. A number here may only fall, and an entry that is no longer needed must go.
LARGE_FILES: dict[str, tuple[int, str]] = {}
LARGE_FUNCTIONS: dict[str, tuple[int, str]] = {}
MANY_ARGUMENTS: dict[str, tuple[int, str]] = {}


def every_module() -> list[Module]:
    folders = (ROOT / "src" / "isothrust", ROOT / "tests", ROOT / "benchmarks")
    return [module for folder in folders for module in modules(folder)]


def compare(found: dict[str, int], excepted: dict[str, tuple[int, str]], limit: int) -> None:
    grown = {place: size for place, size in found.items() if size > excepted.get(place, (limit, ""))[0]}
    assert not grown, f"larger than {limit} and not excepted: {grown}"
    for place, (size, reason) in excepted.items():
        assert len(reason.split()) >= 4, f"the exception for {place} gives no reason"
        assert size > limit, f"the exception for {place} is not needed"
        assert found.get(place, 0) == size, f"{place} is now {found.get(place, 0)}: lower or remove its exception"


def test_files_are_short_enough_to_read() -> None:
    compare({module.place: module.text.count("\n") for module in every_module()}, LARGE_FILES, FILE_LINES)


def test_functions_are_short_enough_to_read() -> None:
    sizes = {
        f"{module.place}::{function.name}": module.code_lines(function)
        for module in every_module()
        for function in module.functions
    }
    assert len(sizes) > 100
    compare(sizes, LARGE_FUNCTIONS, FUNCTION_LINES)


def test_functions_take_few_arguments() -> None:
    counts = {
        f"{module.place}::{function.name}": len(argument_names(function))
        for module in modules()
        for function in module.functions
    }
    compare(counts, MANY_ARGUMENTS, ARGUMENTS)


def statements_of_package(module: Module) -> list[ast.stmt]:
    """Statements of a package's file, but for what loads the Python interface late (decision 0007)."""
    if module.name != "isothrust.workflows":
        return module.tree.body
    late = [node for node in module.tree.body if isinstance(node, ast.If | ast.FunctionDef)]
    named = [ast.unparse(node.test) if isinstance(node, ast.If) else node.name for node in late]
    assert named == ["TYPE_CHECKING", "__getattr__"]
    return [node for node in module.tree.body if node not in late]


def test_package_files_hold_docstring_and_re_exports_only() -> None:
    for module in modules():
        if not module.is_package or module.name in {"isothrust", "isothrust.cli"}:
            continue
        for node in statements_of_package(module):
            exported = isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"
            docstring = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
            assert exported or docstring or isinstance(node, ast.Import | ast.ImportFrom), (
                f"{module.place}, line {node.lineno}: a package's __init__ holds no logic and no constants"
            )


def test_code_lines_leave_out_docstrings_comments_and_blanks(tmp_path: Path) -> None:
    path = tmp_path / "sample.py"
    path.write_text('def f(self, a, *, b=1):\n    """Two\n    lines."""\n    # why\n\n    return a\n')
    module = Module(path)
    (function,) = module.functions
    assert module.code_lines(function) == 2
    assert argument_names(function) == ["a", "b"]
