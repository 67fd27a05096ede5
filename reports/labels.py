"""Finding a free place for each label, so that none covers another."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from reports.scene import ASCENT, DESCENT, XY, Area, Box, Label, Line, Look, Shape, overlap, rectangle
from reports.theme import Role
from reports.typeface import width as text_width

BEARINGS_DEG = (90, 270, 0, 180, 45, 135, 315, 225)  # right first: a name is read after its mark
MARGIN = 1.5
STEPS = tuple(number / 16 for number in range(1, 16))  # along a leader, whose ends do not count


class LabelPlacer:
    """Places labels one after another inside a frame; the first ones placed have the best places."""

    def __init__(self, frame: Box) -> None:
        self.frame = frame
        self.taken: list[Box] = []

    def keep_free(self, box: Box) -> None:
        self.taken.append(box)

    def is_free(self, box: Box) -> bool:
        left, top, right, bottom = self.frame
        inside = box[0] >= left and box[1] >= top and box[2] <= right and box[3] <= bottom
        return inside and not any(overlap(box, other) for other in self.taken)

    def place(
        self,
        text: str,
        at: XY,
        *,
        size: float = 7.5,
        bold: bool = False,
        role: Role = "ink",
        name: str = "label",
        centred: bool = False,
        beside: Box | None = None,
        distances: Iterable[float] = (5.0, 11.0, 19.0, 30.0),
        may_cross: bool = True,
    ) -> list[Shape]:
        """The label on a slip of paper near a point, with a leader where it stands far off; [] if no room is left.

        `centred` tries the point itself first, as for the name of an area; `beside` names a box to stay outside of.
        A leader crosses what is kept free only where there is no other way, and not even then where it may not.
        """
        wide, tall = text_width(text, size, bold), (ASCENT + DESCENT) * size
        free: list[tuple[Label, Box, list[Line]]] = []
        for centre, distance in _centres(at, wide, tall, centred, beside, distances):
            label = Label(
                text,
                (centre[0] - wide / 2, centre[1] - tall / 2 + ASCENT * size),
                size,
                bold=bold,
                role=role,
                name=name,
            )
            box = label.box(MARGIN)
            if not self.is_free(box):
                continue
            leader = [Line((at, _near_side(box, at)), Look(stroke=role, width=0.5), "leader")] if distance > 9.0 else []
            if not any(self._crosses(at, _near_side(box, at)) for _ in leader):
                free = [(label, box, leader)]
                break
            if may_cross:
                free.append((label, box, leader))
        for label, box, leader in free[:1]:
            self.taken.append(box)
            return [*leader, Area((rectangle(box),), Look(fill="paper", opacity=0.85), "slip"), label]
        return []

    def _crosses(self, at: XY, to: XY) -> bool:
        """Whether a leader runs through something kept free that is not what it leads to."""
        steps = [(at[0] + share * (to[0] - at[0]), at[1] + share * (to[1] - at[1])) for share in STEPS]
        return any(
            _holds(box, point) for box in self.taken if not _holds(box, at) for point in steps
        )  # fmt: skip


def _centres(
    at: XY, wide: float, tall: float, centred: bool, beside: Box | None, distances: Iterable[float]
) -> Iterator[tuple[XY, float]]:
    half = ((beside[2] - beside[0]) / 2, (beside[3] - beside[1]) / 2) if beside else (0.0, 0.0)
    if beside:
        at = ((beside[0] + beside[2]) / 2, (beside[1] + beside[3]) / 2)
    if centred:
        yield at, 0.0
    for distance in distances:
        for bearing_deg in BEARINGS_DEG:
            east, up = math.sin(math.radians(bearing_deg)), math.cos(math.radians(bearing_deg))
            x = at[0] + east * distance + _sign(east) * (wide / 2 + half[0])
            y = at[1] - up * distance - _sign(up) * (tall / 2 + half[1])
            yield (x, y), distance


def _holds(box: Box, point: XY) -> bool:
    return box[0] <= point[0] <= box[2] and box[1] <= point[1] <= box[3]


def _sign(number: float) -> float:
    return 0.0 if abs(number) < 1e-9 else math.copysign(1.0, number)


def _near_side(box: Box, at: XY) -> XY:
    return min(max(at[0], box[0]), box[2]), min(max(at[1], box[1]), box[3])
