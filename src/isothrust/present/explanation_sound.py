"""A run's sound in an explanation: how loud, how much of it is whine, how much is rush, how far it carries."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from isothrust.present.explanation_words import GAP_LINE, indented, paragraph, table_at
from isothrust.present.plain import Line
from isothrust.present.table import Table
from isothrust.quantities import parse_unit
from isothrust.records.curve import Abscissa
from isothrust.records.sound import Character, Passing, Sound

__all__ = ["SOUND_READING", "sound_lines"]

SOUND_READING: Final = (
    "Sound: powers of frames in steady spells, weighted in the spectrum, the background taken out by power where the "
    "sound lies 3 dB or more above it. A tone is what stands at an order of the shaft above the noise in its critical "
    "band; whine is the energy of all tones, weighted A, rush the rest. Tone-to-noise and prominence ratio are "
    "those of ECMA-418-1 at the blades' own harmonics; from a ramp, each frame's tones were looked for at the speed it "
    "was made at. Loudness is that of a stationary sound from the front (ISO 532-1), sharpness that of DIN 45692."
)
_ROWS: Final = 6
_QUIET: Final = 40.0
"""What a quiet garden has by day [dB]: a propeller that is fainter is lost in it."""
_MOSTLY: Final = 0.6


def sound_lines(sound: Sound, abscissa: Abscissa, width: int) -> list[Line]:
    """Return what is known of a run's sound."""
    scale = sound.scale
    by = "not calibrated" if scale.by == "none" else f"levels by {scale.why}"
    where = "distance not stated" if scale.distance is None else f"microphone at {scale.distance:g} m"
    said = f"sound: {by}; {where}; {sound.rate:g} Hz, frames of {1e3 * sound.frame:.0f} ms"
    lines = [GAP_LINE, *paragraph(said, width)]
    if scale.by == "none":
        lines += paragraph(f"{scale.why}: levels hold only against a run of the same gain and distance", width)
    spectrum = sound.spectrum
    room = "" if spectrum.background_a is None or scale.by == "none" else f", {spectrum.background_a:.1f} dB(A)"
    lines += paragraph(f"background: {spectrum.background_from}{room}", width)
    if sound.passing is not None:
        lines += paragraph(_followed(sound.passing), width)
    elif sound.without_passing:
        lines += paragraph(f"no tones: {sound.without_passing}", width)
    lines += [GAP_LINE, *table_at(_table(sound), width)]
    if sound.rise is not None:
        lines += paragraph(_rising(sound, by_speed=bool(abscissa == "speed")), width)
    lines += [each for text in _in_words(sound) for each in paragraph(text, width)]
    if sound.passing is not None and sound.passing.candidates:
        lines.append(indented("what the blades' frequency at the top may be"))
        lines += table_at(_candidates(sound.passing), width)
    return lines


def _rising(sound: Sound, *, by_speed: bool) -> str:
    assert sound.rise is not None
    rise = sound.rise
    if rise.onset is None or rise.u_onset is None:
        return f"rush against speed: {rise.why}"
    if by_speed:
        rpm = 30.0 / math.pi
        place = f"{rise.onset * rpm:.0f} rpm (u {rise.u_onset * rpm:.0f} rpm)"
    else:
        place = f"{float(parse_unit('gf').from_si(rise.onset**2)):.0f} gf"
    return f"rush against speed: from {place} on it grows faster, as of blades that flutter: {rise.why}"


def _followed(passing: Passing) -> str:
    if passing.origin == "sound":
        return "blade passing: followed by the sound alone, no tachometer"
    blades = f"{passing.blades} blades"
    if passing.delay == 0.0 and passing.u_delay == 0.0:
        return f"blade passing: by the tachometer, {blades}"
    return (
        f"blade passing: by the tachometer, {blades}; by their tone the sound lies {1e3 * passing.delay:+.0f} ms "
        f"(u {1e3 * passing.u_delay:.0f} ms) behind it"
    )


def _table(sound: Sound) -> Table:
    """Levels and character at some thrusts, or speeds."""
    spectrum, passing = sound.spectrum, sound.passing
    by_thrust = bool(np.isfinite(spectrum.thrust).any())
    head = "thrust [gf]" if by_thrust else "speed [rpm]"
    unit = parse_unit("gf" if by_thrust else "rpm")
    at = spectrum.thrust if by_thrust else spectrum.x
    heads = [head, "L_A", "L_C", "blades [Hz]", "their level", "whine", "tone/noise", "promin.", "sone", "acum"]
    picked = np.unique(np.linspace(0, spectrum.x.size - 1, _ROWS).round().astype(int))
    by_x = {round(each.x, 9): each for each in sound.characters}
    rows = []
    for k in picked.tolist():
        character = by_x.get(round(float(spectrum.x[k]), 9))
        absolute = sound.scale.by != "none"
        rows.append(
            (
                _number(float(unit.from_si(at[k])), 0),
                _number(float(spectrum.a_level[k]), 1) if absolute else "",
                _number(float(spectrum.c_level[k]), 1) if absolute else "",
                "" if passing is None else _number(float(passing.frequency[k]), 0),
                _number(float(passing.levels[k, 0]), 1) if passing is not None and absolute else "",
                "" if passing is None else _share(passing, k),
                *_of_character(character),
            )
        )
    swept = any(each.origin == "ramp" for each in sound.characters)
    note = f"levels in dB; ratios, loudness and sharpness from {'the passage of the ramp' if swept else 'holds'}"
    return Table("", tuple(heads), tuple(rows), frozenset(), (note,))


def _of_character(character: Character | None) -> tuple[str, str, str, str]:
    if character is None:
        return "", "", "", ""
    beyond = " *" if character.prominent else ""
    return (
        _number(character.tone_to_noise, 1) + beyond,
        _number(character.prominence, 1),
        _number(character.loudness, 1),
        _number(character.sharpness, 2),
    )


def _number(value: float | None, digits: int) -> str:
    return "" if value is None or not math.isfinite(value) else f"{value:.{digits}f}"


def _tonal_share(passing: Passing, k: int) -> float:
    tones, rest = 10.0 ** (0.1 * passing.tonal[k]), 10.0 ** (0.1 * passing.broadband[k])
    return float(tones / (tones + rest)) if math.isfinite(rest) else math.nan


def _share(passing: Passing, k: int) -> str:
    share = _tonal_share(passing, k)
    return "" if not math.isfinite(share) else f"{100.0 * share:.0f} %"


def _in_words(sound: Sound) -> list[str]:
    """Say at the greatest thrust what a pilot wants to know, with the figure beside."""
    out = []
    if sound.passing is not None:
        share = _tonal_share(sound.passing, -1)
        if math.isfinite(share):
            out.append(
                f"at the top it is {_kind(share)}: {100.0 * share:.0f} % of the energy, weighted A, lies in tones of "
                f"the shaft, {100.0 * (1.0 - share):.0f} % between them"
            )
    if any(each.prominent for each in sound.characters):
        out.append("* a tone that stands out by the criterion of ECMA-418-1: it is heard through the rest")
    top, distance = float(sound.spectrum.a_level[-1]), sound.scale.distance
    if sound.scale.by != "none" and distance is not None and math.isfinite(top):
        far = distance * 10.0 ** ((top - _QUIET) / 20.0)
        out.append(
            f"it carries about {far:.2g} m at the top until {_QUIET:.0f} dB(A) are left, those of a quiet garden; "
            "assumed: one propeller, free field, alike in all directions, no wind, no ground, nothing lost in the air "
            "(beyond 100 m the air takes the high notes, and it carries less)"
        )
    return out


def _kind(share: float) -> str:
    if share > _MOSTLY:
        return "mostly whine"
    return "mostly rush" if share < 1.0 - _MOSTLY else "whine and rush alike"


def _candidates(passing: Passing) -> Table:
    rows = tuple(
        (f"{each.frequency:.0f} Hz", "taken" if each.chosen else "", each.evidence) for each in passing.candidates
    )
    return Table("", ("at the top", "", "what speaks for it, what against"), rows, frozenset(range(3)), (), 2)
