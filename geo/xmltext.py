"""XML from strangers, read with care: no document type, so no entities; bounded in size and depth.

Python's own expat does this in a few lines, where a library for it would be one more thing to keep.
"""

from __future__ import annotations

import re
from xml.etree import ElementTree
from xml.parsers import expat

from geo.errors import BadFile

MAX_BYTES = 8_000_000  # engineering choice
MAX_DEPTH = 60
NOT_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # XML 1.0, production 2


def parse_xml(text: str | bytes, what: str) -> ElementTree.Element:
    """The root element, tags as "{namespace}name".

    Raises
    ------
    BadFile
        If the text is too long, nested too deep, not well formed, or has a document type.
    """
    data = text.encode("utf-8") if isinstance(text, str) else bytes(text)
    if len(data) > MAX_BYTES:
        raise BadFile(f"the {what} text has {len(data):,} bytes; at most {MAX_BYTES:,} are read")
    # A str has lost its own encoding: the declaration inside may name another.
    parser = expat.ParserCreate("utf-8" if isinstance(text, str) else None, "}")
    builder = ElementTree.TreeBuilder()
    depth = 0

    def tag(name: str) -> str:
        return "{" + name if "}" in name else name

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if depth > MAX_DEPTH:
            raise BadFile(f"line {parser.CurrentLineNumber}: elements are nested too deep for any {what}")
        builder.start(tag(name), {tag(key): value for key, value in attributes.items()})

    def end(name: str) -> None:
        nonlocal depth
        depth -= 1
        builder.end(tag(name))

    def doctype(*_: object) -> None:
        raise BadFile(f"line {parser.CurrentLineNumber}: a {what} file has no document type; take <!DOCTYPE out")

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.CharacterDataHandler = builder.data
    parser.StartDoctypeDeclHandler = doctype
    try:
        parser.Parse(data, True)
    except expat.ExpatError as fault:
        raise BadFile(
            f"line {fault.lineno}, column {fault.offset}: {expat.ErrorString(fault.code)}; a {what} text was wanted"
        ) from None
    except (LookupError, ValueError) as fault:
        if isinstance(fault, BadFile):
            raise
        raise BadFile(f"{fault}; save the {what} as UTF-8") from None
    return builder.close()


def printable(text: str) -> str:
    """Text without the control characters that XML cannot hold."""
    return NOT_IN_XML.sub("\ufffd", text)


def xml_bytes(root: ElementTree.Element) -> bytes:
    """The document as indented UTF-8 with its declaration."""
    ElementTree.indent(root, " ")
    return ElementTree.tostring(root, encoding="utf-8", xml_declaration=True) + b"\n"
