"""Every public function of science says what it takes, what it returns, and where that comes from."""

from __future__ import annotations

import ast
import re

import pytest

from support.source import PACKAGE, ROOT, Function, Module, argument_names, modules

# Plumbing without physics: there is no source to name.
WITHOUT_SOURCE = {"isothrust.science.arrays"}

SECTION = re.compile(r"^([A-Z][A-Za-z ]+)\n-{3,}$", re.MULTILINE)
KEY = re.compile(r"\[([A-Z][A-Za-z]*\d*)\]")


def public_functions() -> list[tuple[Module, Function]]:
    return [
        (module, node)
        for module in modules(PACKAGE / "science")
        for node in module.tree.body
        if isinstance(node, Function) and not node.name.startswith("_")
    ]


def sections(function: Function) -> dict[str, str]:
    pieces = SECTION.split(ast.get_docstring(function) or "")
    return dict(zip(pieces[1::2], pieces[2::2], strict=True))


def known_keys() -> set[str]:
    text = (ROOT / "docs" / "references.bib").read_text(encoding="utf-8")
    keys = re.findall(r"^@\w+\{(\w+),", text, re.MULTILINE)
    assert len(keys) == len(set(keys)), "a key stands twice in references.bib"
    others = re.findall(r"^\s*ids\s*=\s*\{([^}]*)\}", text, re.MULTILINE)
    return {*keys, *(key.strip() for line in others for key in line.split(","))}


CASES = [pytest.param(module, node, id=f"{module.name}.{node.name}") for module, node in public_functions()]


@pytest.mark.parametrize(("module", "function"), CASES)
def test_public_function_is_documented_with_its_source(module: Module, function: Function) -> None:
    found = sections(function)
    assert "Returns" in found
    assert "Parameters" in found or not argument_names(function)
    named = re.findall(r"^(\w[\w, *]*?)(?: :.*)?$", found.get("Parameters", ""), re.MULTILINE)
    documented = {name.strip(" *") for line in named for name in line.split(",")}
    assert set(argument_names(function)) <= documented, "every argument stands under Parameters"
    if module.name in WITHOUT_SOURCE:
        return
    assert found.get("Source", "").strip(), "a Source section says where this comes from"
    assert set(KEY.findall(found["Source"])) <= known_keys()


def test_there_is_science_to_look_at() -> None:
    assert len(CASES) > 20
