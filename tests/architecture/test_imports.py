"""Imports: no cycles, none hidden in a function, three dynamic imports in the project, a light start."""

from __future__ import annotations

import ast
import subprocess
import sys
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

from support.source import PACKAGE, Module, modules, run_time_nodes

FORBIDDEN_NAMES = {"utils", "util", "helpers", "helper", "common", "misc", "core", "base", "manager"}


def imported(module: Module, known: set[str]) -> set[str]:
    """Project modules that a module imports at run time."""
    found: set[str] = set()
    for node in run_time_nodes(module.tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names} & known
        elif isinstance(node, ast.ImportFrom) and node.module is not None:
            below = {f"{node.module}.{alias.name}" for alias in node.names} & known
            found |= below or ({node.module} & known)
    return found - {module.name}


def test_no_import_cycles() -> None:
    known = {module.name for module in modules()}
    graph = {module.name: imported(module, known) for module in modules()}
    assert sum(map(len, graph.values())) > 20
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        pytest.fail(f"these import one another: {' -> '.join(error.args[1])}")


def test_no_import_is_hidden_in_a_function() -> None:
    hidden = [
        f"{module.place}, line {node.lineno}"
        for module in modules()
        for function in module.functions
        for node in ast.walk(function)
        if isinstance(node, ast.Import | ast.ImportFrom)
    ]
    assert not hidden


def test_dynamic_imports_are_those_of_commands_of_the_python_interface_and_of_single_formats() -> None:
    dynamic = {
        module.name
        for module in modules()
        for node in ast.walk(module.tree)
        if (isinstance(node, ast.Name | ast.Attribute) and ast.unparse(node) in {"importlib", "__import__"})
        or (isinstance(node, ast.Import | ast.ImportFrom) and "importlib" in ast.unparse(node))
    }
    places = {"isothrust.cli.lazy", "isothrust.workflows", "isothrust.ingest.readers.late"}
    assert dynamic == places, "docs/decisions/0007-python-interface.md and 0008-late-readers.md"


def test_module_names_say_what_is_inside() -> None:
    named = {part for module in modules() for part in module.name.split(".")}
    assert not named & FORBIDDEN_NAMES


def loaded_after(statement: str) -> set[str]:
    told = subprocess.run(
        [sys.executable, "-c", f"import sys\n{statement}\nprint(*sorted(sys.modules))"],
        check=True,
        capture_output=True,
        text=True,
    )
    return set(told.stdout.splitlines()[-1].split())


def workflow(name: str) -> Path:
    return PACKAGE / "workflows" / f"{name}.py"


def test_package_itself_loads_nothing_heavy() -> None:
    assert not loaded_after("import isothrust") & {"numpy", "scipy", "polars", "click", "rich"}


def test_package_of_workflows_loads_nothing_until_a_name_is_asked_for() -> None:
    loaded = loaded_after("import isothrust.workflows")
    assert not loaded & {"numpy", "scipy", "polars", "jinja2", "isothrust.workflows.library"}
    assert "isothrust.workflows.library" in loaded_after("from isothrust.workflows import reduce_book")


@pytest.mark.parametrize("name", ["results", "compare", "explain"])
def test_reading_results_loads_neither_drawing_nor_templates(name: str) -> None:
    loaded = loaded_after(f"import isothrust.cli.{name}")
    assert f"isothrust.workflows.{name}" in loaded
    assert not loaded & {"jinja2", "vl_convert", "isothrust.workflows.library", "isothrust.workflows.report"}


def test_help_loads_no_numpy() -> None:
    statement = (
        "import contextlib, io\n"
        "from isothrust.cli import main\n"
        "with contextlib.suppress(SystemExit), contextlib.redirect_stdout(io.StringIO()) as told:\n"
        "    main(['--help'])\n"
        "assert 'compare' in told.getvalue()"
    )
    assert not loaded_after(statement) & {"numpy", "scipy", "polars", "rich"}


@pytest.mark.parametrize("name", [name for name in ("results", "compare", "explain") if workflow(name).exists()])
def test_reading_results_loads_no_slow_part_of_scipy(name: str) -> None:
    loaded = loaded_after(f"import isothrust.workflows.{name}")
    assert "numpy" in loaded
    assert not loaded & {"scipy.signal", "scipy.stats"}


@pytest.mark.parametrize("name", ["check", "reduce", "fresh"])
def test_libraries_of_single_formats_wait_for_a_file_of_their_format(name: str) -> None:
    loaded = loaded_after(f"import isothrust.workflows.{name}")
    assert "isothrust.ingest.readers.choosing" in loaded
    assert not loaded & {"h5py", "soundfile", "python_calamine", "scipy.io"}


def test_results_and_compare_are_where_the_test_above_looks() -> None:
    assert workflow("results").exists()
    assert workflow("compare").exists()
