"""A log whose rows come from several sources: the channels of each read from its own rows, all by one clock."""

from __future__ import annotations

from dataclasses import replace

from isothrust.errors import LogError, Problem, Where
from isothrust.ingest.parts import Part, Plans
from isothrust.ingest.readers.choosing import text_of
from isothrust.records.rig import ChannelPlan, Rig
from isothrust.tables.tagged import tagged_tables

__all__ = ["by_tag"]


def by_tag(path: str, plans: Plans, rig: Rig) -> list[Part]:
    """Return the rows of each tag as a table, with the channels that the rig reads from them.

    The clock's column is the same in the rows of all sources, unless it has a tag too; that source's rows then keep the
    time of the others as well.

    Raises LogError as `text_of` and `tagged_tables` do.
    """
    time = rig.channels.get("time")
    tags: dict[str, dict[str, ChannelPlan]] = {}
    absent: dict[str, Problem] = {}
    for quantity, plan in plans.items():
        tag = next((pick.tag for pick in plan.picks if pick.tag is not None), None)
        if quantity != "time" and tag is None:
            absent[quantity] = _untagged(plan, path, rig)
        elif quantity != "time" and tag is not None:
            tags.setdefault(tag, {})[quantity] = plan
    if not tags:
        raise LogError(
            "the rig gives a tag to the clock alone",
            code="no-such-tag",
            where=Where(path),
            expected="the tag of the rows that each channel is read from",
            fix=f'write  tag = "..."  beside the column of each channel in rigs/{rig.name}.toml',
        )
    tables = tagged_tables(text_of(path), path, list(tags))
    main = max(tags, key=lambda tag: len(tags[tag]))
    if "time" in plans and time is not None:
        tags[main]["time"] = time
    parts = [Part(tables[tag], own, {}) for tag, own in tags.items()]
    parts.sort(key=lambda part: "time" not in part.plans)
    return [replace(parts[0], absent=absent), *parts[1:]]


def _untagged(plan: ChannelPlan, path: str, rig: Rig) -> Problem:
    return Problem(
        "tagged-rows",
        f"the rig reads other channels from rows with a tag, and gives none for {plan.quantity}",
        Where(path),
        "the tag of the rows that it is read from",
        f'write  column = {{ column = 3, tag = "..." }}  under [channels.{plan.quantity}] in rigs/{rig.name}.toml',
    )
