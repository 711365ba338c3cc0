"""What every test may ask for, and the validation report."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

from isothrust.cli.threads import one_thread_of_algebra
from support.validation import PROPERTY, Printed, Row, report

# As on the command line; several processes of tests with several threads each would wait for one another.
one_thread_of_algebra()

# A busy machine is no failure; on the continuous check the examples are the same every time.
settings.register_profile("here", deadline=None, max_examples=100)
settings.register_profile("check", deadline=None, max_examples=100, derandomize=True)
settings.load_profile("check" if os.environ.get("CI") else "here")

ROWS = pytest.StashKey[list[Row]]()


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


@pytest.fixture
def printed(record_property: Callable[[str, object], None]) -> Printed:
    """Comparison with a printed value: `printed(ours, "1.2250", source="ISO 2533", what="density at sea level")`."""
    return Printed(record_property)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--validation-report", metavar="FILE", help="write the printed values beside ours to FILE")


def pytest_configure(config: pytest.Config) -> None:
    config.stash[ROWS] = []


LONG = ("tests/study", "tests/web", "tests/workflows", "tests/benches", "tests/unit/ingest")
"""Folders whose files take longest. They begin: a long file that begins last would end alone, beside idle processes."""


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    def turn(item: pytest.Item) -> int:
        place = item.path.relative_to(config.rootpath).as_posix()
        return next((k for k, folder in enumerate(LONG) if place.startswith(folder)), len(LONG))

    items.sort(key=turn)


class Collector:
    """Gathers the rows of all tests, whichever process ran them."""

    def __init__(self, rows: list[Row]) -> None:
        self.rows = rows

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "call":
            self.rows += [Row(**row) for name, row in report.user_properties if name == PROPERTY]


def pytest_sessionstart(session: pytest.Session) -> None:
    session.config.pluginmanager.register(Collector(session.config.stash[ROWS]))


def pytest_sessionfinish(session: pytest.Session) -> None:
    path = session.config.getoption("--validation-report")
    if path and not hasattr(session.config, "workerinput"):
        Path(path).write_text(report(session.config.stash[ROWS]), encoding="utf-8")
