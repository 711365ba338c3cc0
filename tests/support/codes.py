"""The codes of errors and findings, and the flags, that the source can give, found by reading it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache

from isothrust.quantities import MEASURANDS, QUANTITIES
from support.source import ROOT, Function, Module, argument_names, modules

CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
ENTRY = re.compile(r"^### (\S+)$", re.MULTILINE)


@dataclass
class Codes:
    """What was found: codes in full, patterns of codes that are put together, and places that could not be followed."""

    exact: dict[str, str] = field(default_factory=dict)
    patterns: dict[str, str] = field(default_factory=dict)
    unclear: list[str] = field(default_factory=list)


def entries() -> list[str]:
    """Codes that docs/messages.md has an entry for."""
    return ENTRY.findall((ROOT / "docs" / "messages.md").read_text(encoding="utf-8"))


def findings_with_entry() -> list[str]:
    """Codes of the entries that stand under Findings."""
    text = (ROOT / "docs" / "messages.md").read_text(encoding="utf-8")
    return ENTRY.findall(text.partition("\n## Findings\n")[2].partition("\n## Flags\n")[0])


@cache
def codes_in_source() -> Codes:
    found = Codes()
    everywhere = {name: place for module in modules() for name, place in code_takers(module).items() if name[0] != "_"}
    for module in modules():
        # A private name is the module's own: others may use it with its arguments in another order.
        for expression, place in code_expressions(module, everywhere | code_takers(module)):
            note(found, module, expression, place)
    return found


def code_takers(module: Module) -> dict[str, int]:
    """Functions and records of a module with a parameter or field `code`: name -> its position in a call."""
    takers: dict[str, int] = {}
    for node in ast.walk(module.tree):
        if isinstance(node, Function):
            names = argument_names(node)
            if "code" in names:
                takers[node.name] = names.index("code")
        if isinstance(node, ast.ClassDef):
            fields = [ast.unparse(line.target) for line in node.body if isinstance(line, ast.AnnAssign)]
            if "code" in fields:
                takers[node.name] = fields.index("code")
    return takers


def code_expressions(module: Module, takers: dict[str, int]) -> Iterator[tuple[ast.expr, str]]:
    """Every expression that a call gives as a code."""
    for node in ast.walk(module.tree):
        if not isinstance(node, ast.Call):
            continue
        place = f"{module.place}, line {node.lineno}"
        for keyword in node.keywords:
            if keyword.arg == "code":
                yield keyword.value, place
        position = takers.get(ast.unparse(node.func).rsplit(".", 1)[-1])
        if position is not None and len(node.args) > position:
            yield node.args[position], place


def note(found: Codes, module: Module, expression: ast.expr, place: str) -> None:
    if isinstance(expression, ast.Constant) and isinstance(expression.value, str):
        found.exact[expression.value] = place
    elif isinstance(expression, ast.IfExp):
        note(found, module, expression.body, place)
        note(found, module, expression.orelse, place)
    elif isinstance(expression, ast.JoinedStr):
        parts = [
            re.escape(str(part.value)) if isinstance(part, ast.Constant) else "[a-z0-9-]+" for part in expression.values
        ]
        found.patterns["".join(parts)] = place
    elif isinstance(expression, ast.Name):
        follow(found, module, expression.id, place)
    else:
        found.unclear.append(f"{place}: {ast.unparse(expression)}")


def follow(found: Codes, module: Module, name: str, place: str) -> None:
    """Look for what a variable given as a code was set to: in the module, or among the strings of its tables."""
    if any(name in argument_names(function) for function in module.functions):
        return  # handed in by a caller, whose own call is looked at
    set_to = [
        node.value
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Assign) and [ast.unparse(target) for target in node.targets] == [name]
    ]
    if set_to:
        for value in set_to:
            note(found, module, value, place)
        return
    words = {text for text in strings(module.tree) if "-" in text and CODE.fullmatch(text)} - {*QUANTITIES, *MEASURANDS}
    found.exact.update(dict.fromkeys(words, place))
    if not words:
        found.unclear.append(f"{place}: {name}")


def flags_in_source() -> dict[str, str]:
    """Every flag that a figure can carry, and where it is given."""
    found: dict[str, str] = {}
    for module in modules():
        for node in ast.walk(module.tree):
            values: list[ast.expr] = []
            if isinstance(node, ast.Call) and ast.unparse(node.func).endswith("flags.append"):
                values = list(node.args)
            if isinstance(node, ast.keyword) and node.arg == "flags":
                values = [node.value]
            if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
                target = node.target if isinstance(node, ast.AnnAssign) else node.targets[0]
                values = [node.value] if ast.unparse(target).rsplit(".", 1)[-1] == "flags" else []
            for value in values:
                found |= {text: module.place for text in strings(value) if CODE.fullmatch(text)}
    return found


def strings(tree: ast.AST) -> set[str]:
    return {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)}


@cache
def literals() -> set[str]:
    """Every string in the source that could be a code."""
    return {text for module in modules() for text in strings(module.tree) if CODE.fullmatch(text)}
