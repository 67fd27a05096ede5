"""A wind without one direction in the pictures: an arrow only where there is one, and words that fit."""

import pytest

from reports.drawings.map_frame import HEAD, MapFrame, head
from reports.drawings.wind_profile import wind_profile
from reports.scene import Area, Label, Scene, walk
from reports.sheet_data import WindLayer
from tests.reports.held import held_to_its_frame, held_to_svg

ANYWHERE = WindLayer(10.0, 2.0, 250.0, arc_deg=360.0)
RANGING = WindLayer(10.0, 6.0, 350.0, 9.0, arc_deg=350.0)
STEADY = WindLayer(10.0, 2.0, 250.0)
ALOFT = WindLayer(600.0, 9.0, 260.0)


def arrows(scene):
    """Arrow heads, told from other areas by their name, with the labels."""
    shapes = list(walk(scene.shapes))
    return (
        [shape for shape in shapes if isinstance(shape, Area) and shape.name == "arrow"],
        " ".join(shape.text for shape in shapes if isinstance(shape, Label)),
    )


@pytest.mark.parametrize("units", ["si", "us"])
@pytest.mark.parametrize(
    ("layer", "count", "told"), [(ANYWHERE, 1, "any"), (RANGING, 2, "350 ± 175°"), (STEADY, 2, "250°")]
)
def test_the_profile(layer, count, told, units):
    scene = wind_profile((layer, ALOFT), units, 180.0, 105.0, 412.0)
    held_to_its_frame(scene)
    held_to_svg(scene)
    found, said = arrows(scene)
    assert len(found) == count and told in said
    for label in (each for each in walk(scene.shapes) if isinstance(each, Label) and told == each.text):
        left = label.box()[0]
        ahead = max((x for area in found for ring in area.rings for x, _ in ring), default=0.0)
        assert left > ahead - 0.5, "the figures stand clear of the arrows"


@pytest.mark.parametrize("width", [216.0, 520.0])
@pytest.mark.parametrize(
    ("layer", "count", "told"), [(ANYWHERE, 0, "wind 2 m/s variable"), (RANGING, 1, "from 175° to 165°")]
)
def test_the_head_of_a_map(layer, count, told, width):
    scene = Scene(width, 200.0, "Map")
    scene.description = "A map."
    head(scene, MapFrame((0.5, HEAD, width - 0.5, 199.0), (0.0, 0.0), 1.0), layer, "si")
    held_to_its_frame(scene)
    found, said = arrows(scene)
    assert len(found) == count and told in said
