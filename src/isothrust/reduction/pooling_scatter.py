"""How much figures scatter from one mounting and from one sample to the next, pooled over a campaign's designs.

The scatter is taken in proportion to each design's own mean: at one condition designs of a class differ by tens of per
cent, and what a mounting changes (track, seat, balance) acts in proportion.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from isothrust.records.reduced import Figure, ReducedRun
from isothrust.science.nested import NestedMean, nested_mean
from isothrust.science.repeatability import PooledComponent, pooled_component

__all__ = ["Component", "RunFigure", "Scatter", "campaign_scatter", "weighted_mean"]


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
        return f"{self.run.design}/{self.run.sample}"

    @property
    def mounting(self) -> str:
        """Design, sample and mounting; a run without a named mounting was mounted for itself."""
        return f"{self.sample}/{self.run.mounting or self.run.run}"


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


@dataclass(frozen=True, slots=True)
class _Mean:
    """A mean of some runs, and the variance of it that they do not share."""

    design: str
    group: str
    value: float
    variance: float


def weighted_mean(figures: Sequence[RunFigure], mounting_sd: float, sample_sd: float) -> NestedMean:
    """Return the mean over samples of the mean over mountings, each weighed by its own variance."""
    return nested_mean(
        [item.value for item in figures],
        [item.own_variance for item in figures],
        [item.mounting for item in figures],
        [item.sample for item in figures],
        mounting_variance=mounting_sd**2,
        sample_variance=sample_sd**2,
    )


def campaign_scatter(figures: Sequence[RunFigure]) -> dict[str, Scatter]:
    """Return each design's scatter, from all designs of the campaign at one condition."""
    if not figures:
        return {}
    by_mounting = _grouped(figures, [item.mounting for item in figures])
    mountings = [_mean(members, members[0].sample, 0.0) for members in by_mounting]
    scale = {
        design: _scale([node.value for node in mountings if node.design == design]) for design in _designs(figures)
    }
    between_mountings = _components(mountings, scale, "mounting")
    by_sample = _grouped(figures, [item.sample for item in figures])
    samples = []
    for members in by_sample:
        design = members[0].run.design
        sd = (between_mountings[design].relative or 0.0) * scale[design]
        samples.append(_mean(members, design, sd))
    between_samples = _components(samples, scale, "sample")
    return {design: Scatter(between_mountings[design], between_samples[design]) for design in scale}


def _designs(figures: Sequence[RunFigure]) -> list[str]:
    return sorted({item.run.design for item in figures})


def _scale(values: Sequence[float]) -> float:
    return abs(float(np.mean(values))) or 1.0


def _grouped(figures: Sequence[RunFigure], labels: Sequence[str]) -> list[list[RunFigure]]:
    groups: dict[str, list[RunFigure]] = {}
    for item, label in zip(figures, labels, strict=True):
        groups.setdefault(label, []).append(item)
    return list(groups.values())


def _mean(members: Sequence[RunFigure], group: str, mounting_sd: float) -> _Mean:
    if len(members) == 1:
        return _Mean(members[0].run.design, group, members[0].value, members[0].own_variance + mounting_sd**2)
    mean = weighted_mean(members, mounting_sd, 0.0)
    variance = float(mean.run_variance) + mounting_sd**2 * float(mean.mounting_share)
    return _Mean(members[0].run.design, group, float(mean.value), variance)


def _components(nodes: Sequence[_Mean], scale: dict[str, float], what: str) -> dict[str, Component]:
    """Return one component a design; nodes of one group ought to agree."""
    scales = np.array([scale[node.design] for node in nodes])
    found = pooled_component(
        np.array([node.value for node in nodes]) / scales,
        np.array([node.variance for node in nodes]) / scales**2,
        [node.group for node in nodes],
        [node.design for node in nodes],
    )
    designs = np.unique([node.design for node in nodes])
    return {
        str(design): _component(found, index, what, str(design), _contrasts(nodes))
        for index, design in enumerate(designs)
    }


def _contrasts(nodes: Sequence[_Mean]) -> int:
    """Return how many independent differences within groups the nodes give."""
    return len(nodes) - len({node.group for node in nodes})


def _component(found: PooledComponent, index: int, what: str, design: str, contrasts: int) -> Component:
    variance = float(found.used.variance[index])
    if not np.isfinite(variance):
        return Component(None)
    apart = bool(found.scatters_more[index])
    freedom = float(found.used.degrees_of_freedom[index])
    if not apart and freedom > 0.0:
        # a component that is small against the noise it was freed from has next to no degrees of freedom by itself,
        # and would drag a whole budget down with it; half of the contrasts it rests on are a fair floor
        freedom = max(freedom, 0.5 * contrasts)
    return Component(
        relative=float(np.sqrt(variance)),
        degrees_of_freedom=freedom,
        source=f"{what} scatter of {design}" if apart else f"{what} scatter, pooled over the campaign",
        borrowed=float(found.own.degrees_of_freedom[index]) == 0.0,
        stands_apart=apart,
    )
