"""How much figures scatter from one mounting and from one sample to the next, pooled over a campaign's designs.

The scatter is taken in proportion to each design's own mean: at one condition designs of a class differ by tens of per
cent, and what a mounting changes (track, seat, balance) acts in proportion.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.records.reduced import Figure, ReducedRun
from isothrust.reduction.pooling_table import RunTable, labels_of
from isothrust.science.arrays import Bools, floats
from isothrust.science.groups import Codes, grouped
from isothrust.science.nested import nested_means
from isothrust.science.repeatability import pooled_component

__all__ = [
    "Component",
    "Components",
    "RunFigure",
    "Scatter",
    "Scatters",
    "campaign_scatters",
    "scatter_source",
]


@dataclass(frozen=True, slots=True)
class RunFigure:
    """One run's figure at one condition; the value is there."""

    run: ReducedRun
    figure: Figure

    @property
    def value(self) -> float:
        """The figure's value."""
        assert self.figure.value is not None
        return self.figure.value

    @property
    def own_variance(self) -> float:
        """What scatters this run alone: its noise and its zeros."""
        return sum(line.contribution**2 for line in self.figure.budget if line.scope == "run")

    @property
    def sample(self) -> str:
        """Design and sample."""
        return labels_of(self.run).sample

    @property
    def mounting(self) -> str:
        """Design, sample and mounting."""
        return labels_of(self.run).mounting


@dataclass(frozen=True, slots=True)
class Component:
    """One component of scatter of one design, in proportion; None where nothing in the campaign could tell it."""

    relative: float | None
    degrees_of_freedom: float = 0.0
    source: str = ""
    borrowed: bool = False
    """The design itself had nothing to compare."""
    stands_apart: bool = False
    """The design scatters more than the others: the figure is its own."""


@dataclass(frozen=True, slots=True)
class Scatter:
    """From mounting to mounting and from sample to sample, of one design."""

    mounting: Component
    sample: Component


class Components(NamedTuple):
    """One component of scatter of d designs at m conditions, each (d, m)."""

    relative: Floats
    """In proportion; not a number where nothing in the campaign could tell it."""
    degrees_of_freedom: Floats
    borrowed: Bools
    """The design itself had nothing to compare."""
    apart: Bools
    """The design scatters more than the others: the figure is its own."""

    def only(self, index: int) -> Components:
        """Return the component at one condition alone."""
        here = slice(index, index + 1)
        return Components(
            self.relative[:, here], self.degrees_of_freedom[:, here], self.borrowed[:, here], self.apart[:, here]
        )

    def at(self, design: int, index: int, what: str, name: str) -> Component:
        """Return one design's component at one condition."""
        relative = float(self.relative[design, index])
        if not np.isfinite(relative):
            return Component(None)
        apart = bool(self.apart[design, index])
        freedom = float(self.degrees_of_freedom[design, index])
        borrowed = bool(self.borrowed[design, index])
        return Component(relative, freedom, scatter_source(what, name if apart else None), borrowed, apart)


class Scatters(NamedTuple):
    """How the designs of a campaign scatter, at every condition."""

    designs: tuple[str, ...]
    """In rising order."""
    mounting: Components
    sample: Components

    def only(self, index: int) -> Scatters:
        """Return the scatter at one condition alone."""
        return Scatters(self.designs, self.mounting.only(index), self.sample.only(index))

    def at(self, design: str, index: int) -> Scatter:
        """Return one design's scatter at one condition."""
        row = self.designs.index(design)
        return Scatter(self.mounting.at(row, index, "mounting", design), self.sample.at(row, index, "sample", design))


def scatter_source(what: str, design: str | None) -> str:
    """Return in words what a scatter line rests on: a design's own repeats, or those of the whole campaign."""
    return f"{what} scatter, pooled over the campaign" if design is None else f"{what} scatter of {design}"


def campaign_scatters(table: RunTable) -> Scatters:
    """Return how the designs of a campaign scatter, from the figures of all its runs at every condition."""
    labels = [labels_of(run) for run in table.runs]
    mountings, samples = ([getattr(one, level) for one in labels] for level in ("mounting", "sample"))
    designs, code = np.unique([one.design for one in labels], return_inverse=True)
    of_run = np.asarray(code, dtype=np.intp).reshape(-1)

    by_mounting = grouped(mountings).first
    mean = nested_means(table.values, table.own_variances, mountings, mountings, mountings)
    scale = _scales(mean.value, of_run[by_mounting], len(designs))
    between_mountings = _components(
        _Nodes(mean.value, mean.run_variance, np.array(samples)[by_mounting], of_run[by_mounting]), scale
    )

    by_sample = grouped(samples).first
    variance = (np.nan_to_num(between_mountings.relative) * scale) ** 2
    mean = nested_means(
        table.values,
        table.own_variances,
        mountings,
        samples,
        samples,
        mounting_variance=variance[of_run[by_sample]],
    )
    known = floats(mean.run_variance + variance[of_run[by_sample]] * mean.mounting_share)
    between_samples = _components(_Nodes(mean.value, known, designs[of_run[by_sample]], of_run[by_sample]), scale)
    return Scatters(tuple(str(name) for name in designs), between_mountings, between_samples)


class _Nodes(NamedTuple):
    """Means over a mounting or a sample; those of one group ought to agree."""

    values: Floats
    """(n, m); not a number where there is none."""
    variances: Floats
    groups: NDArray[np.str_]
    designs: Codes


def _scales(values: Floats, designs: Codes, count: int) -> Floats:
    """Return the mean of each design's mountings without its sign (d, m): what scatter is in proportion to."""
    known = np.isfinite(values)
    total, number = np.zeros((2, count, values.shape[1]))
    np.add.at(total, designs, np.where(known, values, 0.0))
    np.add.at(number, designs, known)
    mean = np.abs(total / np.maximum(number, 1.0))
    return floats(np.where(mean == 0.0, 1.0, mean))


def _components(nodes: _Nodes, scale: Floats) -> Components:
    scales = scale[nodes.designs]
    found = pooled_component(nodes.values / scales, nodes.variances / scales**2, nodes.groups, nodes.designs)
    variance = found.used.variance
    freedom = found.used.degrees_of_freedom
    # a component that is small against the noise it was freed from has next to no degrees of freedom by itself,
    # and would drag a whole budget down with it; half of the contrasts it rests on are a fair floor
    floor = np.where(found.scatters_more | ~(freedom > 0.0), freedom, np.maximum(freedom, 0.5 * _contrasts(nodes)))
    known = np.isfinite(variance)
    return Components(
        floats(np.sqrt(np.where(known, variance, np.nan))),
        floats(floor),
        np.asarray(found.own.degrees_of_freedom == 0.0),
        np.asarray(found.scatters_more & known),
    )


def _contrasts(nodes: _Nodes) -> Floats:
    """Return how many independent differences within groups the nodes give at each condition."""
    there = np.isfinite(nodes.values) & np.isfinite(nodes.variances)
    groups = grouped(nodes.groups).sums(floats(there)) > 0.0
    return floats(there.sum(axis=0) - groups.sum(axis=0))
