"""What every test may ask for."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

# A busy machine is no failure; on the continuous check the examples are the same every time.
settings.register_profile("here", deadline=None, max_examples=100)
settings.register_profile("check", deadline=None, max_examples=100, derandomize=True)
settings.load_profile("check" if os.environ.get("CI") else "here")


@pytest.fixture(scope="session")
def project() -> Path:
    """Folder of the project."""
    return Path(__file__).resolve().parents[1]


@pytest.fixture(scope="session")
def shared(project: Path) -> Path:
    """Folder of recordings and check values beside the project; tests that need it are skipped, loudly, without it."""
    folder = project.parent / "shared"
    if not folder.is_dir():
        pytest.skip(f"{folder.name}/ is not beside the project: real recordings and check values are missing")
    return folder
