"""What a Python program uses, in one place: the same functions that the command line calls, and frames and arrays.

All of it can be had from `isothrust.workflows` too. No name here is that of a file beside it: which of the two Python
then gave would depend on what had been loaded before.
"""

from __future__ import annotations

from isothrust.book.load import load_book
from isothrust.present.explanation import explanation_lines
from isothrust.present.frames import budget_frame, differences_frame, findings_frame, ranking_frame, results_frame
from isothrust.quantities import MEASURANDS, parse_value
from isothrust.reduction.curve_arrays import CurveArrays, curve_arrays
from isothrust.workflows.check import check as check_book
from isothrust.workflows.check import check_file
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
    "check_book",
    "check_file",
    "collect_results",
    "compare_designs",
    "curve_arrays",
    "differences_frame",
    "explain_figures",
    "explanation_lines",
    "find_target",
    "findings_frame",
    "load_book",
    "parse_value",
    "ranking_frame",
    "reduce_book",
    "results_frame",
    "write_report",
]
