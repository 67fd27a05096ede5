"""What a form on a page would send as it stands: read off the HTML, not off our own forms."""

from __future__ import annotations

from html.parser import HTMLParser


class _Fields(HTMLParser):
    """What the first form with `novalidate` or a file on a page would send as it stands."""

    def __init__(self) -> None:
        super().__init__()
        self.sent: dict[str, str] = {}
        self.state, self.area, self.select = "before", "", ""

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        if tag == "form" and self.state == "before" and ("novalidate" in told or "enctype" in told):
            self.state = "inside"
        if self.state != "inside":
            return
        name = told.get("name", "")
        if tag == "input" and name and told.get("type") != "file":
            if told.get("type") != "checkbox" or "checked" in told:
                self.sent[name] = told.get("value", "")
        elif tag == "textarea":
            self.area, self.sent[name] = name, ""
        elif tag == "select":
            self.select = name
        elif tag == "option" and (self.select not in self.sent or "selected" in told):
            self.sent[self.select] = told.get("value", "")

    def handle_data(self, data):
        if self.area:
            self.sent[self.area] += data

    def handle_endtag(self, tag):
        if tag == "textarea" and self.area:
            self.sent[self.area] = self.sent[self.area].lstrip("\n")
            self.area = ""
        if tag == "form" and self.state == "inside":
            self.state = "after"


def typed(page: str) -> dict[str, str]:
    """What the main form on a page would send as it stands: read off the HTML, not off our own forms."""
    reader = _Fields()
    reader.feed(page)
    return reader.sent
