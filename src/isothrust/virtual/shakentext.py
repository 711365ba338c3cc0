"""The text of an accelerometer's own file: a column an axis, the mark beside them, no clock."""

from __future__ import annotations

import numpy as np

from isothrust.virtual.shaking import Shaken

__all__ = ["AXIS_HEADS", "vibration_bytes"]

AXIS_HEADS = ("ax", "ay", "az")


def vibration_bytes(shaken: Shaken) -> bytes:
    """Write what the accelerometer recorded as comma-separated text, in m/s2; the rig knows the rate."""
    axes = shaken.values.shape[1]
    columns = [np.round(shaken.values[:, axis], 4) + 0.0 for axis in range(axes)]
    heads, forms = [*AXIS_HEADS[:axes]], ["%.4f"] * axes
    if shaken.mark is not None:
        columns.append(shaken.mark)
        heads.append("mark")
        forms.append("%.0f")
    block = np.stack(columns, axis=1)
    text: str = (",".join(forms) + "\n") * block.shape[0] % tuple(block.ravel().tolist())
    return (",".join(heads) + "\n" + text).encode("utf-8")
