"""The invented season that goes with the demo day: beside the packages in a checkout, inside them when installed."""

from __future__ import annotations

from pathlib import Path

import service
from service.planning.sizing.season import Winds
from service.planning.sizing.season_csv import read_winds_csv

NAME = "heron_meadow_winds.csv"
SOURCE = "an invented season on open prairie"


def demo_winds() -> Winds:
    """The season as it stands in the fixtures.

    Raises
    ------
    FileNotFoundError
        If neither place holds it: the installation is damaged.
    """
    package = Path(service.__file__).resolve().parent
    for folder in (package / "fixtures", package.parent / "fixtures"):
        if (folder / NAME).is_file():
            return read_winds_csv((folder / NAME).read_bytes(), NAME, SOURCE)
    raise FileNotFoundError(f"{NAME} is missing from the installation; install rangehand again")
