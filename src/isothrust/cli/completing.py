"""What may stand where somebody types, without importing the command: options from a table, names from the book.

The table, completion.json, is made from the commands themselves by `python -m isothrust.cli.completion_table`; a test
holds it to them.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

import click
from click.shell_completion import CompletionItem

from isothrust.book.campaigns import campaign_names, described_rigs
from isothrust.book.listing import comparison_points_named, designs_named, motors_named, runs_named, samples_named
from isothrust.errors import IsothrustError
from isothrust.quantities import MEASURANDS

__all__ = ["TABLE", "stand_in"]

TABLE: Final = Path(__file__).with_name("completion.json")

Items = list[CompletionItem]
Pairs = Iterable[tuple[str, str]]
"""A word and what it means, the latter empty where the word speaks for itself."""


def _plainly(names: Callable[[Path], Iterable[str]]) -> Callable[[Path], Pairs]:
    return lambda root: ((name, "") for name in names(root))


def _measurands(_: Path) -> Pairs:
    return ((name, MEASURANDS[name].description) for name in _table()["measurands"])


def _charts(_: Path) -> Pairs:
    return ((name, about) for name, about in _table()["charts"].items())


def _conditions(root: Path) -> Pairs:
    """Return the quantities at which figures are asked, with the book's own comparison points where it has any."""
    return [("thrust=", "as in thrust=500gf"), ("speed=", "as in speed=14000rpm"), *_points(root)]


def _points(root: Path) -> Pairs:
    for quantity, points in comparison_points_named(root).items():
        yield from ((f"{quantity}={point.replace(' ', '')}", "") for point in points)


NAMES: Final[Mapping[str, Callable[[Path], Pairs]]] = MappingProxyType(
    {
        "campaign": _plainly(campaign_names),
        "chart": _charts,
        "condition": _conditions,
        "design": _plainly(designs_named),
        "measurand": _measurands,
        "motor": _plainly(motors_named),
        "rig": _plainly(described_rigs),
        "run": _plainly(runs_named),
        "run-or-design": _plainly(lambda root: [*designs_named(root), *runs_named(root)]),
        "run-or-file": _plainly(runs_named),
        "sample": _plainly(samples_named),
    }
)
"""What a word may be -> the words, given the book's folder."""
PATHS: Final[Mapping[str, str]] = MappingProxyType({"folder": "dir", "file": "file", "run-or-file": "file"})
"""What a word may be -> which paths the shell itself completes; for a run or a file where no run begins like that."""


def stand_in(name: str) -> click.Command | None:
    """Return a command that knows its options and arguments and does nothing; None where there is none of that name."""
    words = _table()["commands"].get(name)
    if words is None:
        return None
    return click.Command(name, params=[_parameter(word) for word in words], add_help_option=True)


def _table() -> dict[str, Any]:
    content: dict[str, Any] = json.loads(TABLE.read_text(encoding="utf-8"))
    return content


def _parameter(word: Mapping[str, Any]) -> click.Parameter:
    settings: dict[str, Any] = {"shell_complete": _completer(word["takes"])}
    if isinstance(word["takes"], list):
        settings = {"type": click.Choice(word["takes"])}
    names = [*word["names"], word["is"]]
    if not word["names"]:
        return click.Argument([word["is"]], nargs=-1 if word["many"] else 1, required=False, **settings)
    if word["takes"] == "flag":
        return click.Option(names, is_flag=True, help=word["help"])
    return click.Option(names, multiple=word["many"], help=word["help"], **settings)


def _completer(takes: object) -> Callable[[click.Context, click.Parameter, str], Items]:
    """Return what click calls for a word that is being typed; silent where the book cannot be read."""

    def complete(ctx: click.Context, _: click.Parameter, incomplete: str) -> Items:
        path = PATHS.get(str(takes))
        items = [] if path is None else [CompletionItem(incomplete, type=path)]
        names = NAMES.get(str(takes))
        if names is None:
            return items
        try:
            pairs = list(names(Path(ctx.params.get("book") or ".")))
        except (IsothrustError, OSError):  # Nobody who is typing wants to hear of it; the command itself will tell.
            return items
        # What stands there already is no completion of itself.
        fitting = [(name, words) for name, words in pairs if _begins(name, incomplete) and name != incomplete]
        return [*items, *(CompletionItem(name, help=words or None) for name, words in fitting)]

    return complete


def _begins(name: str, incomplete: str) -> bool:
    return name.casefold().startswith(incomplete.casefold())
