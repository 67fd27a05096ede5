"""Names that the codes use among themselves, such as `keep_out` and `no_deployment`, turned into words."""

from __future__ import annotations

import re

from reports.sentences import MODE_WORDS, ZONE_WORDS

PLAIN = (  # what the codes say among themselves, as a person says it
    (re.compile(r"\b(?:the|its|a) mode `?(\w+)`?"), r"\1"),
    (re.compile(r", mode (\w+)"), r", \1"),
    (re.compile(r", planned mode"), ""),
    (re.compile(r"a zone of kind ([a-z]+(?:[_ ]line)?(?:_out)?)\b"), r"a \1 zone"),
    (re.compile(r"nearest zone of kind (\w+)"), r"nearest \1"),
    (re.compile(r"\ba (people|parking|trees|water) zone"), r"a zone of \1"),
    (re.compile(r"\ban? (building|road|power_line|keep_out) zone"), r"a \1 zone"),
    (re.compile(r", upper 95 %"), ", upper bound"),
    (re.compile(r", lower 5 %"), ", lower bound"),
    (re.compile(r"\bdispersed flights\b"), "simulated flights"),
    (re.compile(r" \(from memory(?:, not re-read)?\)"), ", from memory"),
)  # fmt: skip
_INNER = re.compile(r"(?<=[a-z])_(?=[a-z])")


def without_names(text: str) -> str:
    """A note without the codes' own names for quantities, which mean nothing to a reader.

    >>> without_names("static margin, lower 5 % (static_margin_low_cal) is not known")
    'static margin, lower 5 % is not known'
    """
    return re.sub(r" \([a-z0-9]+(?:_[a-z0-9]+)+\)", "", text)


def plain_words(text: str) -> str:
    """The text with inner names said in words.

    >>> plain_words("chance in a zone of kind keep_out, planned mode"), plain_words("as `wind_speed_mps`")
    ('chance in a keep out zone', 'as wind speed')
    >>> plain_words("no_deployment: some of the dispersed flights could not be computed.")
    'ballistic, nothing deploys: some of the simulated flights could not be computed.'
    """
    said = without_names(text).replace("`", "").replace(" (body diameters)", "")
    for pattern, plain in PLAIN:
        said = pattern.sub(plain, said)
    for names in (MODE_WORDS, ZONE_WORDS):
        for name, word in names.items():
            if "_" in name:
                said = re.sub(rf"\b{name}\b", word.replace(": ", ", "), said)
    said = re.sub(r"\b([a-z]+(?:_[a-z]+)*)_(?:mps|fraction|deg|cal|m|s)\b", r"\1", said)
    return _INNER.sub(" ", said)
