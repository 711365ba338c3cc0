"""Write good/ and bad/: `python tests/logs/make_logs.py`. The files are committed, and truth.py says what they hold."""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from logs.made_good import good  # noqa: E402
from logs.made_odd import odd  # noqa: E402
from logs.made_refused import refused  # noqa: E402


def bad() -> dict[str, tuple[bytes, str]]:
    """Return the files with one defect each, and what is to be said about it, as TOML."""
    return odd() | refused()


def main() -> None:
    for name, data in good().items():
        path = HERE / "good" / name.replace(" ", "-")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    (HERE / "bad").mkdir(exist_ok=True)
    for name, (data, expected) in bad().items():
        (HERE / "bad" / name).write_bytes(data)
        (HERE / "bad" / f"{name}.expected.toml").write_text(expected, encoding="utf-8")


if __name__ == "__main__":
    main()
