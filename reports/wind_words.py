"""Where a wind comes from, in words that fit a line, a cell or a margin."""

from __future__ import annotations

from reports.sentences import compass
from reports.sheet_data import WindLayer

ANYWHERE_DEG = 360.0


def from_anywhere(layer: WindLayer) -> bool:
    """Whether any direction is as likely as any other: then no arrow may be drawn.

    >>> from_anywhere(WindLayer(10.0, 2.0, 80.0, arc_deg=360.0)), from_anywhere(WindLayer(10.0, 2.0, 80.0))
    (True, False)
    """
    return (layer.arc_deg or 0.0) >= ANYWHERE_DEG


def from_words(layer: WindLayer) -> tuple[str, ...]:
    """The direction as a line says it, the longest way first.

    >>> from_words(WindLayer(10.0, 2.0, 220.0))
    ('from 220° (SW)', 'from 220°')
    >>> from_words(WindLayer(10.0, 2.0, 220.0, arc_deg=80.0))
    ('from 180° to 260°, about 220° (SW)', 'from 180° to 260°')
    >>> from_words(WindLayer(10.0, 2.0, 220.0, arc_deg=360.0))
    ('variable, from any direction', 'variable')
    """
    about = f"{_whole(layer.from_deg)}° ({compass(layer.from_deg, short=True)})"
    if from_anywhere(layer):
        return "variable, from any direction", "variable"
    if layer.arc_deg:
        low, high = (_whole(layer.from_deg + side * layer.arc_deg) for side in (-0.5, 0.5))
        ends = f"from {low}° to {high}°"
        return f"{ends}, about {about}", ends
    return f"from {about}", f"from {_whole(layer.from_deg)}°"


def from_cell(layer: WindLayer) -> str:
    """The direction as a cell of a table says it.

    >>> from_cell(WindLayer(10.0, 2.0, 220.0)), from_cell(WindLayer(10.0, 2.0, 350.0, arc_deg=80.0))
    ('220° SW', '310° to 30°')
    >>> from_cell(WindLayer(10.0, 2.0, 220.0, arc_deg=360.0))
    'any direction'
    """
    if from_anywhere(layer):
        return "any direction"
    if layer.arc_deg:
        return from_words(layer)[1].removeprefix("from ")
    return f"{_whole(layer.from_deg)}° {compass(layer.from_deg, short=True)}"


def _whole(bearing_deg: float) -> str:
    return f"{bearing_deg % 360.0:.0f}"
