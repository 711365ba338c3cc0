"""Colours as eyes see them: luminance, contrast, colour blindness and how far two colours lie apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Machado, Oliveira and Fernandes, "A physiologically-based model for simulation of color vision deficiency", IEEE
# Transactions on Visualization and Computer Graphics 15 (2009): matrices at severity 1.0, on linear RGB (from memory).
BLINDNESS = {
    "protanopia": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deuteranopia": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "tritanopia": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}
# IEC 61966-2-1 (sRGB): linear RGB to CIE XYZ for D65, and the white point.
XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
WHITE = XYZ.sum(axis=1)


def linear(colour: str) -> Floats:
    """Linear RGB of '#rrggbb' (IEC 61966-2-1)."""
    encoded = np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)]) / 255.0
    return np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)


def luminance(colour: str) -> float:
    """WCAG 2.1, 'relative luminance'."""
    return float(linear(colour) @ np.array([0.2126, 0.7152, 0.0722]))


def contrast(one: str, other: str) -> float:
    """WCAG 2.1, 'contrast ratio'."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def seen(colour: str, blindness: str | None = None) -> Floats:
    """CIE L*a*b* of a colour, as an eye with that blindness sees it."""
    rgb = linear(colour)
    if blindness is not None:
        rgb = np.clip(np.array(BLINDNESS[blindness]) @ rgb, 0.0, 1.0)
    t = (XYZ @ rgb) / WHITE
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def difference(one: Floats, other: Floats) -> float:
    """CIEDE2000 (ISO/CIE 11664-6) of two colours in L*a*b*, with all weights 1."""
    (l1, a1, b1), (l2, a2, b2) = one, other
    mean_c7 = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    stretch = 1 + 0.5 * (1 - np.sqrt(mean_c7 / (mean_c7 + 25.0**7)))
    c1, c2 = np.hypot(a1 * stretch, b1), np.hypot(a2 * stretch, b2)
    h1, h2 = (np.degrees(np.arctan2(b, a * stretch)) % 360 for a, b in ((a1, b1), (a2, b2)))
    turn = 0.0 if c1 * c2 == 0 else (h2 - h1 + 180) % 360 - 180
    step_l, step_c, step_h = l2 - l1, c2 - c1, 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))
    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    mean_h = h1 + h2 if c1 * c2 == 0 else (h1 + turn / 2) % 360
    wave = (
        1
        - 0.17 * np.cos(np.radians(mean_h - 30))
        + 0.24 * np.cos(np.radians(2 * mean_h))
        + 0.32 * np.cos(np.radians(3 * mean_h + 6))
        - 0.20 * np.cos(np.radians(4 * mean_h - 63))
    )
    scale_l = 1 + 0.015 * (mean_l - 50) ** 2 / np.sqrt(20 + (mean_l - 50) ** 2)
    scale_c, scale_h = 1 + 0.045 * mean_c, 1 + 0.015 * mean_c * wave
    blue = 60 * np.exp(-(((mean_h - 275) / 25) ** 2))
    tilt = -2 * np.sqrt(mean_c**7 / (mean_c**7 + 25.0**7)) * np.sin(np.radians(blue))
    parts = step_l / scale_l, step_c / scale_c, step_h / scale_h
    return float(np.sqrt(sum(part**2 for part in parts) + tilt * parts[1] * parts[2]))
