"""What a tester does after `new --from`: the open keys of a drafted rig file written in, from a dialect description."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from isothrust.book.rigfile import parse_rig
from isothrust.virtual import Dialect, Setup, rig_toml


def fill_rig(path: Path, dialect: Dialect, setup: Setup, beside: Path) -> list[str]:
    """Write into a drafted rig what the stand's own rig file states and the draft leaves open; return the keys added.

    What the draft states already must be what the stand's file states: a channel read differently fails here.
    """
    beside.write_text(rig_toml(setup.stand, setup.drive, dialect), encoding="utf-8")
    true = tomllib.loads(beside.read_text(encoding="utf-8"))["channels"]
    true.setdefault("time", {})
    added = fill_channels(path, true)
    ours, theirs = parse_rig(path)[0].channels, parse_rig(beside)[0].channels
    for name, plan in theirs.items():
        mine = ours[name]
        assert (mine.factor, mine.offset, mine.throttle_range) == (plan.factor, plan.offset, plan.throttle_range), name
        assert (mine.sign, mine.pole_pairs, mine.rate) == (plan.sign, plan.pole_pairs, plan.rate), name
        assert [place(pick, dialect) for pick in mine.picks] == [place(pick, dialect) for pick in plan.picks], name
        assert [pick.arm for pick in mine.picks] == [pick.arm for pick in plan.picks], name
    return added


def fill_channels(path: Path, true: dict[str, dict[str, object]]) -> list[str]:
    """Write into a drafted rig every key of some channels that it does not state; return which."""
    text = path.read_text(encoding="utf-8")
    drafted = tomllib.loads(text)["channels"]
    added = []
    for name, keys in true.items():
        missing = {key: value for key, value in keys.items() if key not in drafted.get(name, {})}
        added += [f"{name}.{key}" for key in missing if key != "uncertainty"]
        if f"[channels.{name}]" not in text:
            text += f"\n[channels.{name}]\n"
        for key, value in missing.items():
            text = text.replace(f"[channels.{name}]\n", f"[channels.{name}]\n{key} = {as_toml(value)}\n")
    path.write_text(text, encoding="utf-8")
    return added


def place(pick: object, dialect: Dialect) -> int:
    """Position of a pick, from 1."""
    position: int | None = pick.position  # type: ignore[attr-defined]
    heads = [column.head for column in dialect.columns]
    return position if position is not None else heads.index(pick.head) + 1  # type: ignore[attr-defined]


def as_toml(value: object) -> str:
    """A value as TOML writes it."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f'"{key}" = {as_toml(item)}' for key, item in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(as_toml(item) for item in value) + "]"
    return f'"{value}"' if isinstance(value, str) else str(value)


def open_keys(text: str) -> set[str]:
    """Keys that stand behind a mark, each with its section."""
    found, section = set(), ""
    for line in text.splitlines():
        if line.startswith("["):
            section = line.strip("[]")
        match = re.match(r"# ([a-z_]+) = ", line)
        if match and section:
            found.add(f"{section.removeprefix('channels.')}.{match[1]}")
    return found
