"""The balance of a design's samples, from their runs with and without trial masses."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from isothrust.errors import Problem, UsageError, Where, raise_problems
from isothrust.records.balance import Balance
from isothrust.records.book import Book, Campaign
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.balancing import BalanceRun, find_balance
from isothrust.workflows.selection import Selection, campaigns_asked, designs_asked

__all__ = ["BalanceAsked", "balance_samples", "check_balance"]


@dataclass(frozen=True, slots=True)
class BalanceAsked:
    """Which propellers are balanced."""

    design: str
    sample: str | None = None
    """None: every sample that has a run with a trial mass."""
    campaigns: tuple[str, ...] = ()
    rotor_mass: float | None = None
    """Of all that turns [kg]; None: propeller and motor as the book states them."""
    speed: float | None = None
    """Service speed that the grade holds at [rad/s]; None: the greatest that was run."""


def check_balance(book: Book, asked: BalanceAsked) -> None:
    """Raise UsageError where the design or campaign is not in the book."""
    designs_asked(book, Selection(designs=(asked.design,), campaigns=asked.campaigns))
    campaigns_asked(book, Selection(campaigns=asked.campaigns))


def balance_samples(book: Book, reduced: Iterable[ReducedRun], asked: BalanceAsked) -> tuple[Balance, ...]:
    """Return one balance for each sample and campaign that has a run with a trial mass.

    Raises
    ------
    UsageError
        Where a name is unknown, runs are missing, or a trial mass was too small to tell anything.
    """
    check_balance(book, asked)
    by_name = {(run.campaign, run.run): run for run in reduced}
    found: list[Balance] = []
    refused: list[Problem] = []
    for name in campaigns_asked(book, Selection(campaigns=asked.campaigns)):
        campaign = book.campaigns[name]
        for sample, runs in _samples(campaign, by_name, asked).items():
            try:
                found.append(find_balance(runs, _mass(book, campaign, sample, asked), top=asked.speed))
            except UsageError as error:
                where = Where(f"campaigns/{name}/runs.csv, {asked.design} sample {sample}")
                refused += [replace(problem, where=where) for problem in error.problems]
    if not found and not refused:
        raise _none(asked)
    if not found:
        raise_problems(refused, UsageError)
    return tuple(found)


def _samples(
    campaign: Campaign, by_name: dict[tuple[str, str], ReducedRun], asked: BalanceAsked
) -> dict[str, list[BalanceRun]]:
    """Return the runs of each sample that has one with a trial mass."""
    out: dict[str, list[BalanceRun]] = {}
    for run in campaign.runs:
        reduced = by_name.get((campaign.name, run.name))
        if reduced is None or run.design != asked.design or asked.sample not in {None, run.sample}:
            continue
        out.setdefault(run.sample, []).append(BalanceRun(reduced, run.trial, turned=run.turned))
    if asked.sample is not None:
        return out
    return {sample: runs for sample, runs in out.items() if any(run.trial is not None for run in runs)}


def _mass(book: Book, campaign: Campaign, sample: str, asked: BalanceAsked) -> float | None:
    """Return the mass of all that turns, where the book states that of the propeller and of the motor's own part."""
    if asked.rotor_mass is not None:
        return asked.rotor_mass
    own = book.samples.get((asked.design, sample))
    propeller = own.mass if own is not None and own.mass is not None else book.designs[asked.design].mass
    motor = None if campaign.motor is None else campaign.motor.rotor_mass
    return None if propeller is None or motor is None else propeller + motor


def _none(asked: BalanceAsked) -> UsageError:
    of = f" sample {asked.sample}" if asked.sample is not None else ""
    return UsageError(
        f"no run of {asked.design}{of} had a trial mass",
        code="balance-runs-missing",
        where=Where(f"isothrust balance {asked.design}"),
        expected="two runs of one mounting: one as it is, one with a trial mass on the hub or a blade",
        fix="fill trial mass [g], trial radius [mm], trial angle [deg] and mounting of those runs in runs.csv",
    )
