"""What the printer refuses, and why.

ReportsError
├── UnknownChoice    a paper size or a set of units that is not offered
└── UnevenSeries     two lists that belong together differ in length
"""


class ReportsError(ValueError):
    """Base of everything this package raises on purpose."""


class UnknownChoice(ReportsError):
    """The text names what was asked for and what there is."""


class UnevenSeries(ReportsError):
    """The text names both lists and their lengths."""
