"""The data sheet that a notice or a certificate asks for: item by item, answered or to be filled in by hand."""

from __future__ import annotations

from service.models.assessment import Result


class DataItem(Result):
    """One item that the regulation asks for."""

    clause: str
    asks: str
    answer: str | None
    """Null: unknown, to be filled in by hand."""
    basis: str
    """Where the answer comes from."""


class RocketType(Result):
    """The items of one type of rocket."""

    name: str
    faa_class: int
    items: tuple[DataItem, ...]


class DataSheet(Result):
    """Both lists, and what has to be known beside them."""

    needed: bool | None
    """Whether any rocket of the fleet is of Class 2 or 3; null where that is not known."""
    needed_words: str
    notice: tuple[DataItem, ...]
    """14 CFR 101.27."""
    types: tuple[RocketType, ...]
    """14 CFR 101.29, a list for each type of rocket."""
    notes: tuple[str, ...]

    @property
    def open_items(self) -> int:
        """Items to be filled in by hand."""
        lists = (self.notice, *(each.items for each in self.types))
        return sum(1 for items in lists for item in items if item.answer is None)
