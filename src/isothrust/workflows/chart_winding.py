"""The chart of thrust over KV: what other windings of the motor's size would give the designs of one class."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from isothrust.errors import UsageError, Where
from isothrust.present.charts.catalogue import CHARTS
from isothrust.present.charts.drawing import Drawing
from isothrust.present.charts.winding_rows import winding_caption, winding_datasets
from isothrust.records.book import Book
from isothrust.records.prediction import WindingSweep
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.matching import winding_sweep
from isothrust.reduction.propellerload import propeller_load
from isothrust.workflows.chart import Drawn
from isothrust.workflows.chart_choice import identities_of
from isothrust.workflows.chart_scope import choose_scope, scopes_of
from isothrust.workflows.match import MatchAsked, motor_name_of, usual_power
from isothrust.workflows.motor_choice import motor_named
from isothrust.workflows.results import campaign_runs
from isothrust.workflows.selection import Selection

__all__ = ["draw_winding"]


def draw_winding(
    book: Book, reduced: Iterable[ReducedRun], selection: Selection, class_name: str | None = None
) -> Drawn:
    """Return the chart for one class of one campaign, on the motor that the campaign ran on.

    Raises
    ------
    UsageError
        Where the selection does not fit the book, the motor cannot be told, or no design has a torque curve.
    """
    runs = list(reduced)
    scopes = scopes_of(book, runs, across_classes=False)
    scope = choose_scope(book, scopes, selection, class_name)
    slots = identities_of(book, runs, scope, selection.designs)
    campaign = book.campaigns[scope.campaign]
    usual = MatchAsked()
    chosen = motor_named(book, runs, motor_name_of(campaign, usual), scope.campaign, leave_one_out=False)
    power = usual_power(campaign, chosen.model, usual)
    counted = campaign_runs(book, campaign, [run for run in runs if run.campaign == scope.campaign])
    sweeps: dict[str, WindingSweep] = {}
    reasons = []
    for design in slots:
        load, reason = propeller_load(counted, design, book.standard_density)
        if load is None:
            reasons.append(f"{design}: {reason}")
            continue
        sweep = winding_sweep(load, chosen.model, power, chosen.heating)
        if np.isfinite(sweep.thrust).all():
            sweeps[design] = sweep
        else:
            reasons.append(f"{design}: the motor does not turn it at every KV")
    if not sweeps:
        raise UsageError(
            f"no design can be drawn on motor {chosen.model.name} ({reasons[0]})",
            code="nothing-to-draw",
            where=Where(f"campaign {scope.campaign}, {scope.class_name}"),
            expected="a design with thrust and torque over speed",
            fix=f"isothrust match --campaign {scope.campaign}  says why each has none",
        )
    caption = winding_caption(scope.campaign, chosen.model, power, sweeps)
    drawing = Drawing(CHARTS["thrust-over-kv"], caption, winding_datasets(sweeps, slots, chosen.model))
    others = tuple(one for one in scopes if one != scope)
    return Drawn(drawing, scope.campaign, scope.class_name, others)
