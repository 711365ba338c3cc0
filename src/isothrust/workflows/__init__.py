"""One thin file for each thing that a tester does; only here are the boxes below combined.

A Python program takes what it needs from here: `from isothrust.workflows import reduce_book, results_frame`. The names
are those of `isothrust.workflows.library`, which is loaded with the first of them and not before, since every command
passes through this file and must not wait for what it does not use (docs/decisions/0007).
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from isothrust.workflows.library import *  # noqa: F403 -- the type checker's view of what is loaded late
    from isothrust.workflows.library import __all__ as __all__


def __getattr__(name: str) -> object:
    if not name.startswith("_") or name == "__all__":
        library = import_module("isothrust.workflows.library")
        if name in {"__all__", *library.__all__}:
            return getattr(library, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}", name=name, obj=None)
