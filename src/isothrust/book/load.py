"""The whole book, read and checked: all that is wrong in any of its tables is told at once."""

from __future__ import annotations

from pathlib import Path

from isothrust.book.campaigns import CAMPAIGNS, Shelf, campaign_names, read_campaign, tell_unfinished
from isothrust.book.decisions import read_decisions
from isothrust.book.designs import read_designs, read_motors, read_samples
from isothrust.book.names import bad_name
from isothrust.book.settings import read_settings
from isothrust.book.toml_section import Remarks, nearest
from isothrust.errors import BookError, IsothrustError, Problem, ProblemsError, RigError, Where, raise_problems
from isothrust.records.book import Book, Campaign, Sample
from isothrust.records.finding import Finding

__all__ = ["load_book"]


def load_book(root: str | Path) -> Book:
    """Read a book.

    Raises
    ------
    BookError, RigError, ProblemsError
        With every problem of every table and rig: of the book's tables, of rig files, or of both.
    """
    folder = Path(root)
    remarks = Remarks()
    settings = read_settings(folder, remarks)
    designs = read_designs(folder, remarks)
    samples = read_samples(folder, designs, remarks)
    shelf = Shelf(folder, settings, designs, read_motors(folder, remarks), remarks)
    tell_unfinished(folder, remarks)
    campaigns = _campaigns(shelf)
    _tell_unknown_samples(campaigns, samples, remarks)
    runs = {(campaign.name, run.name) for campaign in campaigns.values() for run in campaign.runs}
    decisions = read_decisions(folder, runs, remarks)
    raise_problems(remarks.all_problems(), _kind(remarks.all_problems()))
    return Book(
        root=str(folder),
        title=settings.title,
        owner=settings.owner,
        standard_density=settings.standard_density,
        comparison_thrusts=settings.comparison_thrusts,
        comparison_speeds=settings.comparison_speeds,
        class_edges=settings.class_edges,
        designs=designs or {},
        samples=samples,
        motors=shelf.motors,
        campaigns=campaigns,
        decisions=decisions,
        findings=tuple(remarks.findings),
    )


def _campaigns(shelf: Shelf) -> dict[str, Campaign]:
    campaigns: dict[str, Campaign] = {}
    for name in campaign_names(shelf.root):
        reason = bad_name(name)
        if reason is not None:
            what = f'"{name}" cannot be the name of a campaign: {reason}'
            place = Where(f"{CAMPAIGNS}/{name}")
            shelf.remarks.problems.append(
                Problem("bad-name", what, place, "letters, digits and - _ .", "rename the folder")
            )
            continue
        campaign = read_campaign(name, shelf)
        if campaign is not None:
            campaigns[name] = campaign
    return campaigns


def _tell_unknown_samples(
    campaigns: dict[str, Campaign], samples: dict[tuple[str, str], Sample], remarks: Remarks
) -> None:
    """Warn of a sample that samples.csv does not list though it lists others of the design: often a slip of the pen."""
    listed: dict[str, list[str]] = {}
    for design, sample in samples:
        listed.setdefault(design, []).append(sample)
    for campaign in campaigns.values():
        for run in campaign.runs:
            if run.design in listed and run.sample and run.sample not in listed[run.design]:
                near = nearest(run.sample, tuple(listed[run.design]))
                hint = f"; the nearest is {near[0]}" if near else ""
                place = f"{CAMPAIGNS}/{campaign.name}/runs.csv, line {run.line}"
                message = f"{place}: samples.csv has no {run.design} {run.sample}{hint}."
                remarks.findings.append(
                    Finding("unknown-sample", "warning", message, run=run.name, done="taken as one more sample")
                )


def _kind(problems: tuple[Problem, ...]) -> type[IsothrustError]:
    of_rigs = [problem.where is not None and problem.where.file.startswith("rigs/") for problem in problems]
    if all(of_rigs):
        return RigError
    return ProblemsError if any(of_rigs) else BookError
