"""The key under a map: what each line and texture stands for, and the scale."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from reports.drawings.map_frame import TYPE, MapFrame, scale_bar
from reports.drawings.zones import EDGE, area
from reports.figures import Units
from reports.ground_data import Zone, ZoneKind
from reports.scene import Label, Line, Look, Scene, Shape, rectangle
from reports.sentences import ZONE_WORDS
from reports.typeface import fit
from reports.typeface import width as text_width

ROW = 11.0
SAMPLE = 16.0
GAP = 9.0
FIRST_ROW = 4.0  # under the map
SCALE_ROOM = 0.38  # of the width, on the first row
KINDS: tuple[ZoneKind, ...] = tuple(EDGE)


@dataclass(frozen=True)
class KeyItem:
    """A word and what draws its sample into a box of SAMPLE by 8 whose corner is given."""

    word: str
    draw: Callable[[float, float], list[Shape]]


def line_item(word: str, look: Look) -> KeyItem:
    return KeyItem(word, lambda x, y: [Line(((x, y + 4.0), (x + SAMPLE, y + 4.0)), look, "key")])


def zone_items(zones: tuple[Zone, ...], unnamed: list[Zone]) -> list[KeyItem]:
    """One item a kind that is on the map; names that found no room on it stand here."""
    items = []
    for kind in KINDS:
        here = [zone for zone in zones if zone.kind == kind]
        if not here:
            continue
        names = ", ".join(zone.name for zone in unnamed if zone.kind == kind)
        word = ZONE_WORDS[kind] + (f" ({names})" if names else "")
        items.append(KeyItem(word, _zone_sample(kind, here[0].shape == "line")))
    return items


def _zone_sample(kind: ZoneKind, as_line: bool) -> Callable[[float, float], list[Shape]]:
    def draw(x: float, y: float) -> list[Shape]:
        if as_line:
            return [Line(((x, y + 4.0), (x + SAMPLE, y + 4.0)), EDGE[kind], "key")]
        box = (x, y, x + SAMPLE, y + 8.0)
        return area(kind, (rectangle(box),), box)

    return draw


def rows_needed(items: list[KeyItem], width: float) -> int:
    return len(_rows(items, width))


def _rows(items: list[KeyItem], width: float) -> list[list[tuple[KeyItem, float]]]:
    """Each item into the first row with room for it; the first row shares its line with the scale."""
    rows: list[list[tuple[KeyItem, float]]] = [[]]
    used = [SCALE_ROOM * width]
    for item in items:
        wide = SAMPLE + 4.0 + min(text_width(item.word, TYPE), width - SAMPLE - 4.0)
        row = next((i for i, taken in enumerate(used) if taken + wide <= width), len(rows))
        if row == len(rows):
            rows.append([])
            used.append(0.0)
        rows[row].append((item, used[row]))
        used[row] += wide + GAP
    return rows


def draw_key(scene: Scene, frame: MapFrame, items: list[KeyItem], units: Units) -> None:
    """Scale first, then the items row by row, from under the map down."""
    left, _, right, bottom = frame.box
    scene.add(*scale_bar(frame, units, (left + 0.5, bottom + FIRST_ROW + 7.0), (right - left) * 0.2))
    for i, row in enumerate(_rows(items, right - left)):
        top = bottom + FIRST_ROW + i * ROW
        for item, offset in row:
            x = left + offset + 0.5
            scene.add(*item.draw(x, top))
            word = fit(item.word, TYPE, right - x - SAMPLE - 3.0)
            scene.add(Label(word, (x + SAMPLE + 4.0, top + 6.8), TYPE, name="key"))
