"""A write leaves the old file or the new one."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from isothrust.tables import atomic


def test_text_comes_back_byte_for_byte(tmp_path: Path) -> None:
    atomic.write_text(tmp_path / "a.csv", "größe\r\n1,5\n")
    assert (tmp_path / "a.csv").read_bytes() == b"gr\xc3\xb6\xc3\x9fe\r\n1,5\n"


def test_a_second_write_replaces_the_first_and_leaves_nothing_else(tmp_path: Path) -> None:
    atomic.write_bytes(tmp_path / "a", b"old")
    atomic.write_bytes(tmp_path / "a", b"new")
    assert [(p.name, p.read_bytes()) for p in tmp_path.iterdir()] == [("a", b"new")]


def test_permissions_of_the_replaced_file_are_kept(tmp_path: Path) -> None:
    target = tmp_path / "a"
    target.write_bytes(b"old")
    target.chmod(0o640)
    atomic.write_bytes(target, b"new")
    assert target.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failure_at_any_step_leaves_the_old_file_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    target = tmp_path / "a"
    target.write_bytes(b"old")

    def fail(*_: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(os if step == "fsync" else Path, step, fail)
    with pytest.raises(OSError, match="disk full"):
        atomic.write_bytes(target, b"new")
    assert [(p.name, p.read_bytes()) for p in tmp_path.iterdir()] == [("a", b"old")]


def test_the_data_is_on_disk_before_the_rename_and_the_folder_after_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps: list[str] = []
    fsync, replace = os.fsync, Path.replace

    def seen_fsync(descriptor: int) -> None:
        steps.append("sync folder" if Path(f"/dev/fd/{descriptor}").is_dir() else "sync file")
        fsync(descriptor)

    def seen_replace(self: Path, target: Path) -> Path:
        steps.append("rename")
        return replace(self, target)

    monkeypatch.setattr(os, "fsync", seen_fsync)
    monkeypatch.setattr(Path, "replace", seen_replace)
    atomic.write_bytes(tmp_path / "a", b"x")
    assert steps == ["sync file", "rename", "sync folder"]
