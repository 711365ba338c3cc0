"""A stated zero counts as the columns do: through scale, sign, ratio and arms."""

from __future__ import annotations

from pathlib import Path

import pytest

from isothrust.book.rigfile import parse_rig

GF = 0.00980665


def zero_of(tmp_path: Path, channel: str) -> float:
    rig = tmp_path / "loft.toml"
    rig.write_text(f'[channels.time]\nrate = "100 Hz"\n{channel}\n', encoding="utf-8")
    plans = parse_rig(rig)[0].channels
    zero = plans["torque" if "torque" in plans else "thrust"].zero
    assert zero is not None
    return zero


def test_a_zero_in_counts_goes_through_scale_sign_and_ratio(tmp_path: Path) -> None:
    channel = '[channels.thrust]\ncolumn = 1\nunit = "count"\nscale = "0.5 gf/count"\nsign = -1\nratio = 2.0\nzero = 30'
    assert zero_of(tmp_path, channel) == pytest.approx(-30 * 0.5 * GF * 2.0)


def test_a_zero_of_a_force_column_counts_by_its_arm(tmp_path: Path) -> None:
    columns = "columns = [{ column = 8, arm = '230 mm' }]"
    channel = f'[channels.torque]\n{columns}\nunit = "count"\nscale = "0.5 gf/count"\nzero = 14'
    assert zero_of(tmp_path, channel) == pytest.approx(14 * 0.5 * GF * 0.23)


def test_equal_zeros_of_opposed_columns_cancel_as_their_readings_do(tmp_path: Path) -> None:
    columns = "columns = [{ column = 8, arm = '21 mm' }, { column = 9, arm = '-21 mm' }]"
    channel = f'[channels.torque]\n{columns}\nunit = "gf"\nzero = 14'
    assert zero_of(tmp_path, channel) == pytest.approx(0.0, abs=1e-15)
