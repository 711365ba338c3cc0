"""Blade passing followed from the sound alone, and which of several frequencies it is.

A comb of tones tells its own spacing, not what makes it: the shaft's orders, the blades' or every second of them. The
greatest frequency whose multiples hold nearly all of the tones' energy is taken, and what thrust, diameter and tip
speed have to say stands beside each candidate.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.records.sound import Candidate
from isothrust.reduction.sounding.frames import Frames
from isothrust.science.ridges import best_path, comb_scores
from isothrust.science.sound import power_between

__all__ = ["Followed", "Propeller", "follow_blades"]

_RANGE: Final = (40.0, 2600.0)
"""Frequencies at which blades of a small propeller pass [Hz]."""
_FINE: Final = 3.0
"""Candidates a line: the third harmonic then misses by half a line at most."""
_HARMONICS: Final = 4
_CLEAR: Final = 3.0
"""How far the comb must stand out on the mean [dB]."""
_FASTEST: Final = 600.0
"""How fast blade passing may sweep [Hz/s]."""
_MOST: Final = 0.8
"""Share of the tones' energy that lies at multiples of blade passing, at least [1]."""
_RATIOS: Final = ((1, 4), (1, 3), (1, 2), (2, 3), (1, 1), (3, 2), (2, 1), (3, 1), (4, 1))
_MACH: Final = 0.95
_MERIT: Final = (0.015, 0.14)
"""Thrust coefficients that a blade of a propeller has, one blade's share of CT [1]."""
_SOUND: Final = 340.0
_ONE_RATIO: Final = 0.06
"""Ratios of blade passing to the abscissa this near to each other are one, as logarithms."""
_WITHIN: Final = 0.2
"""How far the ratio may wander over a run: coefficients bend with speed, and small thrusts are uncertain."""


@dataclass(frozen=True, slots=True)
class Propeller:
    """What else says which frequency it is; None where nobody stated it."""

    blades: int | None
    diameter: float | None
    thrust: float | None
    """Greatest thrust that was heard [N]."""
    density: float


@dataclass(frozen=True, slots=True)
class Followed:
    """Blade passing over the frames."""

    frequency: Floats
    """(m,) [Hz]"""
    candidates: tuple[Candidate, ...]
    ambiguous: bool
    """True where another candidate explains what was heard nearly as well."""


def follow_blades(frames: Frames, excess: Floats, propeller: Propeller) -> Followed | None:
    """Return blade passing over the frames; None where no comb of tones stands out of the noise."""
    top = min(_RANGE[1], 0.4 * (frames.running.shape[1] - 2) * frames.step)
    candidates = np.arange(_RANGE[0], top, frames.step / _FINE)
    scores = comb_scores(excess, frames.step, candidates, harmonics=_HARMONICS)
    gap = np.diff(frames.time, prepend=frames.time[0])
    jump = max(2, round(_FASTEST * frames.hop * _FINE / frames.step))
    free = gap > 1.5 * frames.hop
    place = best_path(scores, jump=jump, free=free)
    # speed goes with the root of thrust: a stretch that follows another harmonic is called back
    near = _near_the_usual(frames, candidates, scores, place)
    place = best_path(np.where(near, scores, -1e3), jump=jump, free=free)
    if float(scores[np.arange(place.size), place].mean()) < _CLEAR:
        return None
    path = _refined(frames, candidates[place])
    return _chosen(frames, path, propeller)


def _near_the_usual(frames: Frames, candidates: Floats, scores: Floats, place: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Say which candidates lie near the ratio to the run's abscissa that most of the path has (m, c)."""
    x = np.maximum(frames.x, 1e-9)[:, None]
    ratio = np.log(candidates[place] / x[:, 0])
    weight = scores[np.arange(place.size), place]
    close = np.abs(ratio[:, None] - ratio[None, :]) < _ONE_RATIO
    usual = float(ratio[int(np.argmax(close @ weight))])
    return np.asarray(np.abs(np.log(candidates[None, :] / x) - usual) < _WITHIN)


def _refined(frames: Frames, path: Floats) -> Floats:
    """Return the path moved to the middle of the power about it."""
    reach = np.array([[-1.5, -0.5, 0.5, 1.5]]) * frames.step
    edges = path[:, None] + reach
    power = power_between(frames.running, frames.step, edges[:, :-1], edges[:, 1:])
    centre = path + (power[:, 2] - power[:, 0]) / np.maximum(power.sum(axis=1), 1e-30) * frames.step
    window = min(5, centre.size)
    kernel = np.ones(window) / window
    smooth = np.convolve(np.pad(centre, window // 2, mode="edge"), kernel, mode="valid")[: centre.size]
    # across a gap nothing is smoothed
    return np.where(np.abs(smooth - centre) < frames.step, smooth, centre)


def _chosen(frames: Frames, path: Floats, propeller: Propeller) -> Followed:
    width = 2.0 * frames.step
    held = {}
    for up, down in _RATIOS:
        trial = path * up / down
        # multiples that run together are one line, and hold whatever there is
        if (_RANGE[0] <= float(np.median(trial)) <= _RANGE[1] and float(np.median(trial)) > 4.0 * width) or up == down:
            held[up / down] = _tonal(frames, trial, width)
    most = max(*held.values(), 1e-30)
    shares = {ratio: power / most for ratio, power in held.items()}
    told = []
    possible = {ratio: _objection(float(path.max()) * ratio, propeller) for ratio in shares}
    fair = [ratio for ratio in shares if possible[ratio] is None] or list(shares)
    enough = [ratio for ratio in fair if shares[ratio] >= _MOST * max(shares[each] for each in fair)]
    best = max(enough)
    for ratio in sorted(shares, key=lambda each: -shares[each]):
        said = possible[ratio] or "thrust, diameter and tip speed allow it"
        evidence = f"its multiples hold {100.0 * shares[ratio]:.0f} % of the tones' energy; {said}"
        told.append(Candidate(float(path.max()) * ratio, ratio == best, evidence))
    rivals = [ratio for ratio in fair if ratio > best and shares[ratio] > _MOST * _MOST * shares[best]]
    return Followed(path * best, tuple(told), bool(rivals))


def _tonal(frames: Frames, frequency: Floats, width: float) -> float:
    """Return the power that stands out at the multiples of a frequency, up to what is heard of a propeller [Pa2]."""
    highest = 0.9 * (frames.running.shape[1] - 2) * frames.step
    count = int(min(highest, 5000.0) / float(np.median(frequency)))
    total = 0.0
    for multiple in range(1, min(count, 40) + 1):
        centre = (frequency * multiple)[:, None]
        half = np.full_like(centre, width)
        inner = power_between(frames.running, frames.step, centre - half, centre + half)[:, 0]
        outer = power_between(frames.running, frames.step, centre - 2.0 * half, centre + 2.0 * half)[:, 0]
        total += float(np.sum(np.maximum(inner - (outer - inner), 0.0) * (centre[:, 0] < highest)))
    return total


def _objection(top: float, propeller: Propeller) -> str | None:
    """Return why blades cannot pass at a frequency [Hz] at the top of the run; None where nothing speaks against."""
    if propeller.blades is None or propeller.diameter is None:
        return None
    turns = top / propeller.blades
    mach = np.pi * turns * propeller.diameter / _SOUND
    if mach > _MACH:
        return f"the tips would run at Mach {mach:.2f}"
    if propeller.thrust is None:
        return None
    share = propeller.thrust / (propeller.density * turns**2 * propeller.diameter**4) / propeller.blades
    low, high = _MERIT
    if share > high:
        return f"the blades would have to pull {share / high:.1f} times what blades can"
    if share < low:
        return f"the blades would pull a {low / share:.1f}th of what blades do"
    return None
