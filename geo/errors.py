"""What this package refuses, and why.

GeoError                 has a `path` to the faulty part, and a sentence
├── BadPosition          a longitude, latitude, distance or bearing that is no number or out of range
├── BadGeometry          a boundary or zone that cannot be used, and cannot be repaired with certainty
├── BadFile              a GeoJSON, KML or GPX text that cannot be read
├── BadSamples           landing points that are missing, not finite or of the wrong shape
└── BadChance            a chance, count or confidence out of range
"""

from __future__ import annotations


class GeoError(ValueError):
    """Base of everything this package raises on purpose.

    Parameters
    ----------
    text : str
        What was found and what would be right, with units.
    path : str
        JSON pointer (RFC 6901) from the value that was handed in to the part at fault; "" for the whole.
    """

    def __init__(self, text: str, path: str = "") -> None:
        super().__init__(text, path)
        self.text = text
        self.path = path

    def __str__(self) -> str:
        return f"{self.path}: {self.text}" if self.path else self.text


class BadPosition(GeoError):
    """A longitude, latitude, distance or bearing is no number, or out of range."""


class BadGeometry(GeoError):
    """A boundary or zone cannot be used, and there is no certain repair."""


class BadFile(GeoError):
    """A GeoJSON, KML or GPX text cannot be read."""


class BadSamples(GeoError):
    """Landing points are missing, not finite, or of the wrong shape."""


class BadChance(GeoError):
    """A chance, count or confidence is out of range."""
