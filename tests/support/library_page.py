"""The page of what Python programs import, made from docstrings: docs/library.md.

Made anew by `PYTHONPATH=tests python -m support.library_page > docs/library.md`; a test holds the page to it.
"""

from __future__ import annotations

import dataclasses
import inspect
import sys
from collections.abc import Iterator

from isothrust import workflows

__all__ = ["library_page"]

HEAD = """\
# From Python

Made by `PYTHONPATH=tests python -m support.library_page`; not written by hand. Everything here is imported by
`from isothrust.workflows import NAME`; `help(NAME)` tells more. Examples: [work from Python](how-to/python.md).

Inside everything is SI; frames show the units of the screen, in columns of their own. Errors are those of
`isothrust.errors`.
"""


def library_page() -> str:
    """Return the page: functions by name, then the records that they take and give."""
    found = {name: getattr(workflows, name) for name in sorted(workflows.__all__, key=str.lower)}
    functions = {name: thing for name, thing in found.items() if inspect.isfunction(thing)}
    records = {name: thing for name, thing in found.items() if inspect.isclass(thing)}
    assert found.keys() == {*functions, *records, "MEASURANDS"}
    parts = [HEAD, "## Functions\n", *(_function(name, thing) for name, thing in functions.items())]
    parts += ["## Records\n", *(_record(name, thing) for name, thing in records.items())]
    parts.append(
        "## Tables\n\n`MEASURANDS`: all that can be asked, by its name in [nomenclature.md](nomenclature.md).\n"
    )
    return "\n".join(parts)


def _function(name: str, function: object) -> str:
    signature = inspect.signature(function)  # type: ignore[arg-type]
    words = [_argument(parameter) for parameter in _with_star(signature)]
    return f"### {name}\n\n```\n{name}({', '.join(words)})\n```\n\n{_told(function)}\n{_columns(name, function)}"


def _columns(name: str, function: object) -> str:
    """Return the columns of what a function that makes a frame gives: they do not depend on what there is."""
    if not name.endswith("_frame"):
        return ""
    return "\nColumns: " + ", ".join(f"`{column}`" for column in function([]).columns) + ".\n"  # type: ignore[operator]


def _with_star(signature: inspect.Signature) -> Iterator[inspect.Parameter | str]:
    starred = False
    for parameter in signature.parameters.values():
        if parameter.kind is inspect.Parameter.KEYWORD_ONLY and not starred:
            starred = True
            yield "*"
        yield parameter


def _argument(parameter: inspect.Parameter | str) -> str:
    if isinstance(parameter, str):
        return parameter
    default = parameter.default
    if default is inspect.Parameter.empty:
        return parameter.name
    return f"{parameter.name}={getattr(default, '__name__', repr(default))}"


def _record(name: str, record: type) -> str:
    fields = [field.name for field in dataclasses.fields(record)]
    known = [key for key, value in vars(record).items() if isinstance(value, property)]
    lines = [f"### {name}", "", _told(record), "", "Fields: " + ", ".join(f"`{field}`" for field in fields) + "."]
    if known:
        lines += ["Derived: " + ", ".join(f"`{key}`" for key in known) + "."]
    return "\n".join(lines) + "\n"


def _told(thing: object) -> str:
    """Return the summary of a docstring."""
    return " ".join((inspect.getdoc(thing) or "").split("\n\n", 1)[0].split())


if __name__ == "__main__":
    sys.stdout.write(library_page())
