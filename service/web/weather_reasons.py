"""What conditions were taken from, in the report's own words: kept and shown beside them, by page and API alike."""

from __future__ import annotations

from collections.abc import Collection

QUOTED = 400  # of a report, beside the conditions that were taken from it; a METAR is rarely half as long


def from_metar(report: str) -> str:
    """The whole report on one line.

    >>> from_metar(" KXQA 011651Z\\n14015KT ")
    'a METAR: KXQA 011651Z 14015KT'
    """
    return _quoted("a METAR", report)


def from_bulletin(bulletin: str, stations: Collection[str]) -> str:
    """The rows of a winds-aloft bulletin that were used, by their stations.

    >>> from_bulletin("FT  3000\\nXQA 2030\\nXQB 9900", ["XQB"])
    'winds aloft: XQB 9900'
    """
    rows = [line for line in bulletin.upper().splitlines() if line.split()[:1] and line.split()[0] in stations]
    return _quoted("winds aloft", " / ".join(rows))


def _quoted(what: str, text: str) -> str:
    line = " ".join(text.split())
    return f"{what}: {line if len(line) <= QUOTED else line[:QUOTED] + '...'}" if line else what
