"""Where in the book a fresh file belongs: its rig, design, sample and campaign, as far as anything tells."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from isothrust.book.campaigns import RIGS, described_rigs, rig_names
from isothrust.book.hashes import read_hashes
from isothrust.book.load import load_book
from isothrust.book.rigfile import parse_rig
from isothrust.book.settings import BOOK_FILE
from isothrust.errors import IsothrustError, UsageError, Where
from isothrust.records.book import Book, Campaign, Design, Kind, Run
from isothrust.records.finding import Finding
from isothrust.records.rig import Rig
from isothrust.tables.nearest import names_told, nearest_first
from isothrust.workflows.earlier import home_campaign
from isothrust.workflows.filenames import parts_of
from isothrust.workflows.rawnames import hash_of

__all__ = ["FreshOptions", "Place", "place_of"]


@dataclass(frozen=True, slots=True)
class FreshOptions:
    """What is said of a fresh file; what is left out comes from its name and from the book."""

    rig: str | None = None
    """A rig of the book, or the path of a rig file; None: the book's only rig."""
    kind: Kind | None = None
    design: str | None = None
    sample: str | None = None
    air: str | None = None
    """Temperature, pressure and humidity: "21 degC, 1013 hPa, 40 %"."""


@dataclass(frozen=True, slots=True)
class Place:
    """What a fresh file is, for all that is known."""

    rig: Rig
    findings: tuple[Finding, ...] = ()
    """Of the rig file."""
    book: Book | None = None
    campaign: Campaign | None = None
    """The one whose runs it is held against, else the latest on its rig."""
    design: Design = field(default_factory=lambda: Design(""))
    sample: str = ""
    listed: Run | None = None
    """The row that the book has of this very file."""
    alone: str | None = None
    """Why it cannot be held against earlier runs."""


def place_of(file: Path, sha256: str, options: FreshOptions, root: str | Path) -> Place:
    """Return where a fresh file belongs.

    Raises
    ------
    RigError, UsageError
        `rig-needed`, `unknown-rig`, `unknown-design`, and what is wrong with the rig file.
    BookError, ProblemsError
        Where a design of a book was named that cannot be read.
    """
    book = _book(root, options)
    listed = None if isinstance(book, str) else _listed(book, sha256)
    rig, findings = _rig(root, options.rig, book, listed)
    if isinstance(book, str):
        return Place(rig, findings, alone=book)
    design = _design(book, file, options, listed)
    if isinstance(design, str):
        return Place(rig, findings, book, _campaign_on(book, rig), sample=options.sample or "", alone=design)
    sample = options.sample or (_sample(book, file, design.name) if listed is None else listed.sample)
    campaign = home_campaign(book, design.name, rig.name, listed)
    if campaign is None:
        alone = f"the book has no earlier run of {design.name} that gives a curve"
        return Place(rig, findings, book, _campaign_on(book, rig), design, sample, listed, alone)
    if campaign.rig.name == rig.name and options.rig in {None, rig.name}:
        rig = campaign.rig  # its own motor and supply count, as they will once the run is in the book
    return Place(rig, findings, book, campaign, design, sample, listed)


def _book(root: str | Path, options: FreshOptions) -> Book | str:
    """Return the book; or why there is none to compare with, where nobody asked for a design of it."""
    if not (Path(root) / BOOK_FILE).is_file() and options.design is None:
        where = "this folder" if str(root) == "." else str(root)
        return f"{where} is no book: name one with  --book DIR"
    try:
        return load_book(root)
    except IsothrustError as error:
        if options.design is not None:
            raise
        return f"the book cannot be read: {error.problems[0].what}"


def _listed(book: Book, sha256: str) -> Run | None:
    for campaign in book.campaigns.values():
        known = read_hashes(book.root, campaign.name)
        found = next((run for run in campaign.runs if hash_of(run.files.get("log", ""), known) == sha256), None)
        if found is not None:
            return found
    return None


def _rig(root: str | Path, name: str | None, book: Book | str, listed: Run | None) -> tuple[Rig, tuple[Finding, ...]]:
    """Return the rig: the one named, else the one of the file's own row, else the book's only one."""
    if name is None and listed is not None and not isinstance(book, str):
        return book.campaigns[listed.campaign].rig, ()
    known = rig_names(Path(root))
    if name is not None and name not in known and Path(name).is_file():
        return parse_rig(name)
    described = described_rigs(Path(root))
    if name is None and len(described) == 1:
        name = described[0]
    if name is None or name not in known:
        raise UsageError(
            f'there is no rig "{name}"' if name else "nothing says which rig recorded the file",
            code="unknown-rig" if name else "rig-needed",
            where=Where(RIGS),
            expected=names_told(name or "", described, otherwise="the path of a rig file"),
            fix="add  --rig NAME,  a rig of the book or the path of a rig file",
        )
    return parse_rig(Path(root) / RIGS / f"{name}.toml", shown=f"{RIGS}/{name}.toml")


def _design(book: Book, file: Path, options: FreshOptions, listed: Run | None) -> Design | str:
    """Return the design: said, else the book's own row of the file, else what the name tells; or why there is none."""
    if options.design is not None:
        if options.design not in book.designs:
            raise _unknown_design(options.design, book)
        return book.designs[options.design]
    name = listed.design if listed is not None else parts_of(file.name, tuple(book.designs), ()).design
    return book.designs.get(name) or "the file's name tells no design of the book: add  --design NAME"


def _unknown_design(name: str, book: Book) -> UsageError:
    near = nearest_first(name, book.designs)
    return UsageError(
        f'there is no design "{name}" in propellers.csv',
        code="unknown-design",
        where=Where(f"--design {name}"),
        expected=names_told(name, book.designs, otherwise="the book has no design yet"),
        fix=f'write "{near[0]}", if that is what was meant' if near else "write it into propellers.csv first",
    )


def _sample(book: Book, file: Path, design: str) -> str:
    runs = (run for campaign in book.campaigns.values() for run in campaign.runs)
    known = set(book.samples) | {(run.design, run.sample) for run in runs}
    return parts_of(file.name, (design,), tuple(known)).sample


def _campaign_on(book: Book, rig: Rig) -> Campaign | None:
    """Return the latest campaign on a rig: its default air is the nearest that there is."""
    there = [campaign for campaign in book.campaigns.values() if campaign.rig.name == rig.name]
    return max(there, key=lambda campaign: max((run.date for run in campaign.runs), default=""), default=None)
