"""What a Python program uses, in one place: the same functions that the command line calls, and frames and arrays.

Kept apart from the package's own `__init__`, which every command imports: `isothrust new` would otherwise wait for the
whole of the reduction to load.
"""

from __future__ import annotations

from isothrust.book.load import load_book
from isothrust.present.frames import budget_frame, differences_frame, findings_frame, ranking_frame, results_frame
from isothrust.quantities import MEASURANDS, parse_value
from isothrust.reduction.curve_arrays import CurveArrays, curve_arrays
from isothrust.workflows.check import check
from isothrust.workflows.compare import Compared, compare_designs
from isothrust.workflows.explain import explain_figures
from isothrust.workflows.explain_target import find_target
from isothrust.workflows.reduce import ReduceOutcome, reduce_book
from isothrust.workflows.report import write_report
from isothrust.workflows.results import Answer, collect_results
from isothrust.workflows.selection import Selection

__all__ = [
    "MEASURANDS",
    "Answer",
    "Compared",
    "CurveArrays",
    "ReduceOutcome",
    "Selection",
    "budget_frame",
    "check",
    "collect_results",
    "compare_designs",
    "curve_arrays",
    "differences_frame",
    "explain_figures",
    "find_target",
    "findings_frame",
    "load_book",
    "parse_value",
    "ranking_frame",
    "reduce_book",
    "results_frame",
    "write_report",
]
