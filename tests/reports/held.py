"""What every picture is held to, whatever it shows."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

from reports.scene import Label, Scene, overlap, walk
from reports.svg import write_svg

PHONE_PX = 356.0  # of a picture in a page 390 px wide, its margins off
ON_A_PHONE = 162.0  # the width of pictures for a phone
MAY_BE_CUT = ("name", "aims", "warning")


def held_to_its_frame(scene: Scene) -> None:
    """Nothing reaches out of the picture, and no label lies on another."""
    left, top, right, bottom = scene.bounds()
    assert left >= -0.01 and top >= -0.01 and right <= scene.width + 0.01 and bottom <= scene.height + 0.01
    labels = [shape for shape in walk(scene.shapes) if isinstance(shape, Label)]
    for i, one in enumerate(labels):
        for other in labels[i + 1 :]:
            assert not overlap(one.box(-0.8), other.box(-0.8)), (one.text, other.text)


def held_to_a_phone(scene: Scene) -> None:
    """Letters of 16 px and more, and nothing cut short but names, which may be of any length."""
    labels = [shape for shape in walk(scene.shapes) if isinstance(shape, Label)]
    assert min((each.size for each in labels), default=99.0) * PHONE_PX / scene.width >= 16.0
    assert [each.text for each in labels if "…" in each.text and each.name not in MAY_BE_CUT] == []


def held_to_svg(scene: Scene) -> None:
    """Well-formed, described in words, and no number in it that is none."""
    root = ET.fromstring(write_svg(scene))
    assert root.tag.endswith("svg") and scene.description.strip()
    for element in root.iter():
        for name, value in element.attrib.items():
            assert not re.search(r"\b(nan|inf)\b", value), (element.tag, name, value)
