"""Which table of a file each channel of the rig is read from: one that holds all columns, else each where it stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from isothrust.errors import LogError, Problem, Where, raise_problems
from isothrust.ingest.blocks import joined_blocks
from isothrust.ingest.bytag import by_tag
from isothrust.ingest.parts import Part, Plans
from isothrust.ingest.readers.asked import several_parts
from isothrust.ingest.readers.choosing import contents_of
from isothrust.ingest.readers.contract import Contents, NamedTable
from isothrust.ingest.readers.numeric import NumericTable
from isothrust.ingest.readers.waveform import channel_facts
from isothrust.records.rig import ChannelPlan, ColumnPick, FilePlan, Rig
from isothrust.tables.heads import find_head
from isothrust.tables.log import LogTable

__all__ = ["Part", "assign", "is_waveform"]


def is_waveform(table: LogTable) -> bool:
    """Say whether a table is a waveform, which keeps its own time."""
    return isinstance(table, NumericTable) and table.rate is not None


def assign(path: str, plans: Plans, rig: Rig) -> list[Part]:
    """Open a file, and return which of its tables are read for which channels.

    Raises LogError as `contents_of` does, and several-tables, several-blocks, no-such-part where the rig leaves open
    what is meant.
    """
    file = rig.files.get(next(iter(plans.values())).file, FilePlan())
    if any(pick.tag is not None for plan in plans.values() for pick in plan.picks):
        return by_tag(path, plans, rig)
    contents = contents_of(path, file.table)
    if len(contents.tables) == 1 and is_waveform(contents.tables[0].table):
        return [_waveform_part(contents.tables[0].table, plans)]
    bare = {name: _no_column(plan, path, rig) for name, plan in plans.items() if not plan.picks and name != "time"}
    parts = _parts(contents, {name: plan for name, plan in plans.items() if name not in bare}, rig, path)
    return [replace(parts[0], absent=bare), *parts[1:]]


def _parts(contents: Contents, plans: Plans, rig: Rig, path: str) -> list[Part]:
    time = rig.channels.get("time")
    wanted = _needed(plans, time)
    chosen = _chosen(contents, wanted, path)
    if chosen is None:
        return _scattered(contents, plans, time, path)
    if not wanted or not chosen.blocks or any(pick.position is not None for plan in wanted for pick in plan.picks):
        return [Part(chosen.table, plans, {})]
    return _from_blocks(chosen, plans, time, rig.files.get(next(iter(wanted)).file, FilePlan()))


def _needed(plans: Plans, time: ChannelPlan | None) -> list[ChannelPlan]:
    """Return the plans whose columns a table must hold, that of time included where the channels go by it."""
    found = [plan for plan in plans.values() if plan.picks]
    clocked = time is not None and time.picks and any(plan.rate is None for plan in plans.values())
    return [*found, time] if clocked and time is not None and "time" not in plans else found


def _chosen(contents: Contents, wanted: Sequence[ChannelPlan], path: str) -> NamedTable | None:
    """Return the table that holds all columns, or the nearest to it; None where they are scattered over several."""
    if len(contents.tables) == 1:
        return contents.tables[0]
    held = [sum(_holds(each.table, plan) for plan in wanted) for each in contents.tables]
    best = [each for each, count in zip(contents.tables, held, strict=True) if count == max(held)]
    if max(held) == len(wanted) and len(best) > 1:
        names = [each.name for each in best]
        raise_problems([several_parts(names, path, "hold the rig's columns")], LogError)
    everywhere = all(any(_holds(each.table, plan) for each in contents.tables) for plan in wanted)
    if max(held) < len(wanted) and everywhere:
        return None
    return best[0]


def _holds(table: LogTable, plan: ChannelPlan) -> bool:
    return all(
        bool(find_head(pick.head, table.heads))
        if pick.head is not None
        else 1 <= (pick.position or 0) <= table.dialect.width
        for pick in plan.picks
    )


def _scattered(contents: Contents, plans: Plans, time: ChannelPlan | None, path: str) -> list[Part]:
    """Return the tables over which the channels are spread; the log's clock stands with most of them."""
    tables = [each.table for each in contents.tables]
    places: dict[int, dict[str, ChannelPlan]] = {}
    for quantity, plan in plans.items():
        held = [place for place, table in enumerate(tables) if _holds(table, plan)]
        if quantity == "time":
            continue
        if len(held) > 1:
            names = [contents.tables[place].name for place in held]
            raise_problems([several_parts(names, path, f"hold the column of {quantity}")], LogError)
        places.setdefault(held[0], {})[quantity] = plan
    return _with_clock(tables, places, plans, time)


def _with_clock(
    tables: Sequence[LogTable],
    places: Mapping[int, dict[str, ChannelPlan]],
    plans: Plans,
    time: ChannelPlan | None,
) -> list[Part]:
    """Put the log's clock to the table that has it and most of the channels."""
    if "time" in plans and time is not None:
        with_it = [place for place in places if _holds(tables[place], time)] or list(places)
        main = max(with_it, key=lambda place: (len(places[place]), -place))
        places[main]["time"] = time
    return [
        Part(tables[place], own, {}) for place, own in sorted(places.items(), key=lambda each: "time" not in each[1])
    ]


def _from_blocks(chosen: NamedTable, plans: Plans, time: ChannelPlan | None, file: FilePlan) -> list[Part]:
    """Return the blocks of a sheet from which the channels are read; the sheet itself where its heads are unlike."""
    wanted = _needed(plans, time)
    named = {pick.block or file.block for plan in wanted for pick in plan.picks} - {None}
    if file.joined:
        return [Part(joined_blocks(chosen.blocks, time, chosen.table), plans, {})]
    alike = any(len(find_head(pick.head or "", chosen.table.heads)) > 1 for plan in wanted for pick in plan.picks)
    if not named and not alike:
        return [Part(chosen.table, plans, {})]
    places: dict[int, dict[str, ChannelPlan]] = {}
    for quantity, plan in plans.items():
        if quantity == "time":
            continue
        places.setdefault(_block(chosen, quantity, plan, file), {})[quantity] = plan
    return _with_clock(chosen.blocks, places, plans, time)


def _block(chosen: NamedTable, quantity: str, plan: ChannelPlan, file: FilePlan) -> int:
    """Return the block that a channel stands in."""
    count = len(chosen.blocks)
    wanted = next((pick.block for pick in plan.picks if pick.block is not None), file.block)
    if wanted is not None and wanted <= count:
        return wanted - 1
    held = [place for place, block in enumerate(chosen.blocks) if _holds(block, plan)]
    if wanted is None and len(held) <= 1:
        return held[0] if held else 0
    name = plan.picks[0].head or ""
    raise LogError(
        f'"{name}" ({quantity}) stands in {len(held)} of {count} blocks side by side'
        if wanted is None
        else f"there is no block {wanted} for {quantity}: {count} stand side by side",
        code="several-blocks",
        where=Where(chosen.table.file, chosen.table.dialect.head_line, name),
        expected=f"a block from 1 to {count}, or all of them as one recording",
        fix=f'write  block = 1  under [files.{plan.file}] in the rig file, or  blocks = "joined"  to read them'
        f' one after the other; for one channel alone  column = {{ column = "{name}", block = 1 }}',
    )


def _no_column(plan: ChannelPlan, path: str, rig: Rig) -> Problem:
    return Problem(
        "missing-column",
        f"the rig names no column for {plan.quantity}",
        Where(path),
        "a head's text or a position from 1",
        f'add  column = "…"  under [channels.{plan.quantity}] in rigs/{rig.name}.toml',
    )


def _waveform_part(table: LogTable, plans: Plans) -> Part:
    """Return a waveform with its channels picked: the only one where it has one and nothing is said."""
    assert isinstance(table, NumericTable)
    picked: dict[str, ChannelPlan] = {}
    absent: dict[str, Problem] = {}
    for quantity, plan in plans.items():
        if plan.picks or quantity == "time":
            picked[quantity] = plan
        elif table.dialect.width == 1:
            picked[quantity] = replace(plan, picks=(ColumnPick(position=1),))
        else:
            width = table.dialect.width
            picks = (
                'columns = [1, 2, 3]  with  unit = "1"  and  scale = "… m/s2"  for what full scale is worth'
                if quantity == "acceleration"
                else "column = 1"
            )
            absent[quantity] = Problem(
                "channel-not-chosen",
                f"{Path(table.file).name} has {width} channels, and nothing says which is {quantity}"
                f" ({channel_facts(table)})",
                Where(table.file),
                f"a channel from 1 to {width}: not a mean over them, for one may be disturbed where another is clean",
                f"write  {picks}  under [channels.{quantity}] in the rig file",
            )
    return Part(table, picked, absent)
