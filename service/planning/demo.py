"""The invented demo day and its flight log: beside the packages in a checkout, inside them in an installed wheel."""

from __future__ import annotations

from pathlib import Path

import service

NAME = "heron_meadow.json"
LOG_NAME = "heron_meadow_log.csv"


def demo_document() -> bytes:
    """The demo launch-day document as it stands in the fixtures.

    Raises
    ------
    FileNotFoundError
        If neither place holds it: the installation is damaged.
    """
    return _fixture(NAME)


def demo_log() -> bytes:
    """The flight log of the demo's rockets over the season before; raises as `demo_document`."""
    return _fixture(LOG_NAME)


def _fixture(name: str) -> bytes:
    package = Path(service.__file__).resolve().parent
    for folder in (package / "fixtures", package.parent / "fixtures"):
        if (folder / name).is_file():
            return (folder / name).read_bytes()
    raise FileNotFoundError(f"{name} is missing from the installation; install rangehand again")
