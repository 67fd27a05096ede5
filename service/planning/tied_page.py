"""A page of HTML with each figure on one line with its unit: what people read, and nothing that comes back."""

from __future__ import annotations

import re

from reports.tied import GAP, NO_BREAK

# What a browser sends back, a machine reads or a picture places keeps its plain spaces; so do all attributes.
_LEFT_ALONE = (
    r"""<!--.*?-->|<(script|style|textarea|option|title|code|pre|svg)\b.*?</\1\s*>|<(?:[^>"']|"[^"]*"|'[^']*')*>"""
)
_PIECES = re.compile(rf"{_LEFT_ALONE}|(?P<gap>{GAP})", re.DOTALL)


def tied_page(html: str) -> str:
    """The page with no-break spaces between figures and units in its running text.

    >>> tied_page('<p title="6.1 m/s">at most 6.1 m/s</p>') == '<p title="6.1 m/s">at most 6.1\u00a0m/s</p>'
    True
    """
    return _PIECES.sub(lambda found: NO_BREAK if found["gap"] else found[0], html)
