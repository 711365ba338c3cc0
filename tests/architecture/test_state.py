"""No module-level mutable state: a module's tables are typed as read-only, and nothing is rebound from a function."""

from __future__ import annotations

import ast

import pytest

from support.source import Module, modules

READ_ONLY = ("Mapping", "Sequence", "frozenset", "tuple", "Set", "Collection", "Iterable")
WRITABLE_CALLS = {"dict", "list", "set", "defaultdict", "Counter", "deque", "OrderedDict", "bytearray"}


def is_writable(value: ast.expr | None) -> bool:
    if isinstance(value, ast.List | ast.Dict | ast.Set | ast.ListComp | ast.DictComp | ast.SetComp):
        return True
    return isinstance(value, ast.Call) and ast.unparse(value.func).rsplit(".", 1)[-1] in WRITABLE_CALLS


def reads_only(annotation: ast.expr) -> bool:
    text = ast.unparse(annotation).removeprefix("Final[")
    return text.rsplit("[", 1)[0].startswith(READ_ONLY) or text.startswith(READ_ONLY)


def mutable_state(module: Module) -> list[str]:
    found = []
    for node in module.tree.body:
        if isinstance(node, ast.Assign) and is_writable(node.value) and ast.unparse(node.targets[0]) != "__all__":
            found.append(f"{module.place}, line {node.lineno}: {ast.unparse(node.targets[0])}")
        if isinstance(node, ast.AnnAssign) and is_writable(node.value) and not reads_only(node.annotation):
            found.append(f"{module.place}, line {node.lineno}: {ast.unparse(node.target)}")
    return found


def test_tables_of_a_module_are_typed_as_read_only() -> None:
    found = [place for module in modules() for place in mutable_state(module)]
    assert not found, "annotate these as Final[Mapping[…]] or Final[tuple[…]], so that the type checker guards them"


def test_nothing_is_rebound_from_a_function() -> None:
    found = [
        f"{module.place}, line {node.lineno}"
        for module in modules()
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Global)
    ]
    assert not found


@pytest.mark.parametrize(
    ("line", "guarded"),
    [
        ("A = []", False),
        ("A: Final = {}", False),
        ("A: dict[str, int] = {}", False),
        ("A = defaultdict(list)", False),
        ("A: Final[Mapping[str, int]] = {}", True),
        ("A: Final[tuple[int, ...]] = ()", True),
        ("A = MappingProxyType({})", True),
        ("__all__ = []", True),
    ],
)
def test_rule_tells_guarded_tables_from_open_ones(line: str, guarded: bool) -> None:
    module = modules()[0]
    sample = Module(module.path)
    sample.__dict__["tree"] = ast.parse(line)
    assert (mutable_state(sample) == []) == guarded
