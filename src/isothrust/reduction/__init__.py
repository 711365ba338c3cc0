"""From channels to findings, curves, figures and pooled results; knows records and science, no files."""

from isothrust.reduction.run import reduce_run

__all__ = ["reduce_run"]
