"""Charts of sound: one-third octaves of designs at equal thrust, and one run's spectrogram against thrust."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from isothrust.errors import UsageError, Where
from isothrust.present.charts.captions import Subject
from isothrust.present.charts.catalogue import Chart, axis_title
from isothrust.present.charts.drawing import Drawing
from isothrust.present.charts.sound_bands import bands_caption, bands_datasets
from isothrust.present.charts.sound_map import map_caption, map_datasets
from isothrust.records.book import Book
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Condition
from isothrust.science.sound import BAND_CENTRES
from isothrust.workflows.chart import Drawn
from isothrust.workflows.chart_choice import identities_of, middle_of
from isothrust.workflows.chart_scope import choose_scope, scopes_of
from isothrust.workflows.results import campaign_runs
from isothrust.workflows.runs import selected
from isothrust.workflows.selection import Selection

__all__ = ["draw_bands", "draw_sound_map"]


def draw_bands(
    book: Book, reduced: Iterable[ReducedRun], chart: Chart, selection: Selection, class_name: str | None = None
) -> Drawn:
    """Return one-third octaves of one class of one campaign at one thrust.

    Raises
    ------
    UsageError
        Where the selection does not fit the book, or no run of the class has a calibrated sound at that thrust.
    """
    runs = list(reduced)
    scopes = scopes_of(book, runs, across_classes=False)
    scope = choose_scope(book, scopes, selection, class_name)
    thrust = middle_of(selection.thrusts[:1] or book.comparison_thrusts)
    own = [run for run in runs if run.campaign == scope.campaign]
    counting = campaign_runs(book, book.campaigns[scope.campaign], own).runs
    slots = identities_of(book, runs, scope, selection.designs)
    levels: dict[str, Floats] = {}
    absent: dict[str, str] = {}
    for design in scope.designs:
        found = _bands([run for run in counting if run.design == design], thrust)
        if isinstance(found, str):
            absent[design] = found
        else:
            levels[design] = found
    if not levels:
        raise _nothing(scope.campaign, next(iter(absent.values()), "no run of the class has a recording of sound"))
    others = {design: each for design, each in levels.items() if design not in slots}
    subject = Subject(scope.campaign, scope.class_name, book.standard_density)
    caption = bands_caption(chart, subject, Condition("thrust", thrust), absent)
    drawing = Drawing(chart, caption, bands_datasets(np.array(BAND_CENTRES), levels, slots, others))
    return Drawn(drawing, scope.campaign, scope.class_name, tuple(other for other in scopes if other != scope))


def _bands(runs: Sequence[ReducedRun], thrust: float) -> Floats | str:
    """Return the mean levels of a design's runs at a thrust (31,) [dB], or why there are none."""
    found = []
    why = "no recording of sound"
    for run in runs:
        if run.sound is None:
            continue
        if run.sound.scale.by == "none":
            why = "not calibrated"
            continue
        spectrum = run.sound.spectrum
        known = np.isfinite(spectrum.thrust)
        order = np.argsort(spectrum.thrust[known])
        at = spectrum.thrust[known][order]
        if not at.size or not at[0] <= thrust <= at[-1]:
            why = "the thrust was not reached while it was heard"
            continue
        bands = spectrum.bands[known][order]
        found.append([_between(thrust, at, bands[:, k]) for k in range(bands.shape[1])])
    if not found:
        return why
    with np.errstate(invalid="ignore"):
        return np.asarray(10.0 * np.log10(np.mean(10.0 ** (0.1 * np.array(found)), axis=0)))


def _between(thrust: float, at: Floats, levels: Floats) -> float:
    """Return a level at a thrust, straight between the steps beside it; NaN where one of them has none."""
    after = int(np.clip(np.searchsorted(at, thrust), 1, at.size - 1))
    share = (thrust - at[after - 1]) / max(at[after] - at[after - 1], 1e-12)
    return float(levels[after - 1] + share * (levels[after] - levels[after - 1]))


def draw_sound_map(book: Book, reduced: Iterable[ReducedRun], chart: Chart, run: str) -> Drawn:
    """Return the spectrogram of one run, named `run` or `campaign/run`, against thrust, or speed without it.

    Raises
    ------
    UsageError
        Where there is no such run, more than one, or its sound was not reduced.
    """
    names = selected(book, [run]) or set()
    found = [one for one in reduced if (one.campaign, one.run) in names]
    if len(found) > 1:
        raise UsageError(
            f"{len(found)} campaigns have a run {run}",
            code="ambiguous-name",
            where=Where(f"--run {run}"),
            expected=", ".join(sorted(f"{one.campaign}/{one.run}" for one in found)),
            fix="name it as campaign/run",
        )
    if not found or found[0].sound is None or found[0].sound.map is None:
        reason = found[0].absent.get("sound-level") if found else None
        raise _nothing(run, reason or "the run has no recording of sound")
    one, sound = found[0], found[0].sound
    assert sound.map is not None
    by_thrust = bool(np.isfinite(sound.spectrum.thrust).any())
    over, x = ("thrust", sound.spectrum.thrust) if by_thrust else ("speed", sound.spectrum.x)
    caption = map_caption(chart, one.run, one.campaign, one.design, sound.passing)
    datasets = map_datasets(sound.map, x, sound.passing, over=over)
    return Drawn(Drawing(chart, caption, datasets, axis_title(over)), one.campaign, "")


def _nothing(who: str, why: str) -> UsageError:
    return UsageError(
        f"nothing of the sound of {who} can be drawn: {why}",
        code="nothing-to-draw",
        where=Where("isothrust chart"),
        expected="a run with a recording of sound, calibrated where levels are drawn",
        fix="isothrust explain RUN  tells what became of a run's sound",
    )
