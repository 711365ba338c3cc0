"""Reads the text of `isothrust explain`, and nothing else: no part of the package is imported here."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise

NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?|inf"
RULE = re.compile(r"^\s*-+(  -+)*\s*$")


@dataclass
class Table:
    """Column heads and rows of cells; what hangs over is joined to the row above."""

    heads: list[str]
    rows: list[list[str]]

    def column(self, begins: str) -> list[str]:
        place = next(i for i, head in enumerate(self.heads) if head.startswith(begins))
        return [row[place] for row in self.rows]

    def numbers(self, begins: str) -> list[float]:
        return [float(cell) for cell in self.column(begins)]


@dataclass
class Piece:
    """A piece of a curve: the numbers that stand under its symbol."""

    left: float
    width: float
    t: float
    coefficients: list[float]
    value: float
    u_noise: float
    share: float
    freedom: float


@dataclass
class Working:
    """One run's figure: what stands between its head and its own u."""

    text: str
    pieces: Mapping[str, Piece]
    budget: Table | None

    def number(self, name: str) -> float:
        """The number at the end of the line `name = … = number unit`."""
        return last_number(self.text, name)


@dataclass
class Run:
    name: str
    text: str
    workings: dict[str, Working] = field(default_factory=dict)

    def workings_of(self, title: str) -> dict[str, Working]:
        return {head: working for head, working in self.workings.items() if head.split(", ")[0] == head_of(title)}

    def has(self, title: str) -> bool:
        """Whether the run belongs to a figure; one without any part of its own was asked for by name."""
        return bool(self.workings_of(title)) or not self.workings


@dataclass
class Told:
    """The whole text, cut at its headings."""

    title: str
    headline: str
    sections: dict[str, str]
    runs: dict[str, Run]

    @property
    def everything(self) -> str:
        return "\n".join(
            [self.title, self.headline, *self.sections.values(), *(run.text for run in self.runs.values())]
        )

    def number(self, section: str, name: str) -> float:
        return last_number(self.sections[section], name)


def read_explanation(text: str) -> Told:
    """Read a text that explains one figure."""
    (told,) = read_explanations(text)
    return told


def read_explanations(text: str) -> list[Told]:
    """Cut the text of some figures at its headings, the lines that begin at the margin.

    Every figure has a title with its own sections below; rig and runs come last, for all of them.
    """
    parts: list[tuple[str, list[str]]] = []
    for line in text.splitlines():
        if line and not line.startswith(" "):
            parts.append((line, []))
        elif parts:
            parts[-1][1].append(line)
    heads = [head for head, _ in parts]
    starts = [place - 1 for place, head in enumerate(heads) if head == "What was asked"]
    shared = next((place for place, head in enumerate(heads) if head.startswith("Rig ")), len(heads))
    whole = [(head, "\n".join(lines).rstrip()) for head, lines in parts]
    runs = {head.split(" ", 1)[1]: read_run(head, body) for head, body in whole[shared:] if head.startswith("Run ")}
    common = {head: body for head, body in whole[shared:] if not head.startswith("Run ")}
    found = []
    for start, end in zip(starts, [*starts[1:], shared], strict=True):
        title, headline = whole[start]
        told = Told(title, headline.strip(), {**dict(whole[start + 1 : end]), **common}, {})
        told.runs.update(
            {name: Run(run.name, run.text, run.workings_of(title)) for name, run in runs.items() if run.has(title)}
        )
        found.append(told)
    return found


def head_of(title: str) -> str:
    """The words that stand above a run's part in the figure of a title: 'shaft efficiency at 500 gf'."""
    match = re.match(r"(.*) of \S+( at [\d.]+ \w+)?(?:, campaign \S+)?$", title)
    assert match is not None
    return f"{match[1][0].lower()}{match[1][1:]}{match[2] or ''}"


def read_run(head: str, body: str) -> Run:
    run = Run(head.rsplit("/", 1)[-1], body)
    # a figure's head is the one line of this depth that ends in a condition and has a deeper line below it
    pattern = re.compile(
        r"^  (\w[\w ]*?(?: at [\d.]+ \w+)?(?:, by itself \(it does not count\))?)\n(?=    )", re.MULTILINE
    )
    heads = [match for match in pattern.finditer(body) if match[1] not in {"files", "findings"}]
    for match, following in zip(heads, [*heads[1:], None][: len(heads)], strict=True):
        part = body[match.end() : following.start() if following else None]
        run.workings[match[1]] = Working(part, dict(read_pieces(part)), first_table(part, "contribution"))
    return run


def read_pieces(text: str) -> Iterator[tuple[str, Piece]]:
    for block in re.split(r"\n(?=    y_)", "\n" + text):
        match = re.match(r"\s*(y_\w), curve of", block)
        if match is None:
            continue
        name = match[1]
        joined = re.sub(r"\s*\n\s+", " ", block)
        coefficients = [number(joined, rf"a{power} = ") for power in range(4)]
        yield (
            name,
            Piece(
                left=number(joined, r"x_k = "),
                width=number(joined, r"h = "),
                t=number(joined, r"/ h = "),
                coefficients=coefficients,
                value=number(joined, r"a3 \* t\^3 = "),
                u_noise=number(joined, rf"u\({name}\) = "),
                share=number(joined, rf"1 % more {name}: "),
                freedom=number(joined, r"independent bin, dof "),
            ),
        )


def number(text: str, before: str) -> float:
    """The number after some words."""
    match = re.search(rf"{before}({NUMBER})(?![\w.])", text)
    assert match is not None, f"no number after {before!r}"
    return float(match[1])


def last_number(text: str, name: str) -> float:
    """The number at the end of an equation that begins with a name, and may go on below."""
    match = re.search(rf"^ *{re.escape(name)} = .*(?:\n +=.*)*", text, re.MULTILINE)
    assert match is not None, f"nothing says what {name} is"
    return float(re.findall(rf"= ({NUMBER})(?![\w.^])", match[0])[-1])


def tables(text: str) -> list[Table]:
    """Every table with heads: the row of dashes says where its columns stand."""
    lines = text.splitlines()
    return [table_at(lines, place) for place, line in enumerate(lines) if RULE.match(line)]


def first_table(text: str, head: str) -> Table | None:
    return next((table for table in tables(text) if table.heads[0].startswith(head)), None)


def table_at(lines: list[str], rule: int) -> Table:
    spans = [match.span() for match in re.finditer(r"-+", lines[rule])]
    spans[-1] = (spans[-1][0], 10_000)
    first = rule
    while first > 0 and lines[first - 1].strip() and fits(lines[first - 1], spans):
        first -= 1
    heads = [
        " ".join(filter(None, parts)) for parts in zip(*(cells(line, spans) for line in lines[first:rule]), strict=True)
    ]
    rows: list[list[str]] = []
    for line in lines[rule + 1 :]:
        if not line.strip() or not fits(line, spans):
            break
        found = cells(line, spans)
        if rows and not found[0]:
            rows[-1] = [f"{above} {below}".strip() for above, below in zip(rows[-1], found, strict=True)]
        else:
            rows.append(found)
    return Table(heads, rows)


def fits(line: str, spans: list[tuple[int, int]]) -> bool:
    """Whether the gaps between the columns are empty in a line."""
    gaps = [(0, spans[0][0]), *((a[1], b[0]) for a, b in pairwise(spans))]
    return all(not line[start:end].strip() for start, end in gaps)


def cells(line: str, spans: list[tuple[int, int]]) -> list[str]:
    return [line[start:end].strip() for start, end in spans]
