"""A scene on paper: onto a reportlab canvas, or as a flowable in a story."""

from __future__ import annotations

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas
from reportlab.platypus import Flowable

from reports.scene import XY, Area, Cut, Disc, Label, Line, Look, Scene, Shape
from reports.theme import LIGHT
from reports.typeface import BOLD, PLAIN, printable, register


def draw_scene(scene: Scene, canvas: Canvas, left: float, bottom: float, grow: float = 1.0) -> None:
    """Draw the scene with its lower left corner at a place on the page. [pt]"""
    register()
    canvas.saveState()
    canvas.translate(left, bottom)
    if grow != 1.0:
        canvas.scale(grow, grow)
    canvas.setLineJoin(1)
    for shape in scene.shapes:
        _draw(shape, canvas, scene.height)
    canvas.restoreState()


class Picture(Flowable):
    """A scene as part of a story, drawn `grow` times as large."""

    def __init__(self, scene: Scene, align: str = "LEFT", grow: float = 1.0) -> None:
        super().__init__()
        self.scene, self.grow = scene, grow
        self.hAlign = align
        self.width, self.height = grow * scene.width, grow * scene.height

    def wrap(self, *_room: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        draw_scene(self.scene, self.canv, 0.0, 0.0, self.grow)


def _draw(shape: Shape, canvas: Canvas, height: float) -> None:
    if isinstance(shape, Label):
        _draw_label(shape, canvas, height)
    elif isinstance(shape, Cut):
        canvas.saveState()
        canvas.clipPath(_path(shape.rings, canvas, height), stroke=0, fill=0, fillMode=FILL_EVEN_ODD)
        for inner in shape.shapes:
            _draw(inner, canvas, height)
        canvas.restoreState()
    else:
        _draw_outline(shape, canvas, height)


def _draw_outline(shape: Area | Line | Disc, canvas: Canvas, height: float) -> None:
    canvas.saveState()
    fill, stroke = _take_up(shape.look, canvas)
    if isinstance(shape, Disc):
        canvas.circle(shape.centre[0], height - shape.centre[1], shape.radius, stroke=stroke, fill=fill)
    elif isinstance(shape, Line):
        canvas.drawPath(_path((shape.points,), canvas, height, closed=False), stroke=stroke, fill=fill)
    else:
        path = _path(shape.rings, canvas, height)
        canvas.drawPath(path, stroke=stroke, fill=fill, fillMode=FILL_EVEN_ODD)
    canvas.restoreState()


def _draw_label(label: Label, canvas: Canvas, height: float) -> None:
    canvas.setFillColor(HexColor(LIGHT[label.role]))
    canvas.setFont(BOLD if label.bold else PLAIN, label.size)
    put = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
    put[label.anchor](label.at[0], height - label.at[1], printable(label.text))


def _take_up(look: Look, canvas: Canvas) -> tuple[int, int]:
    if look.fill:
        canvas.setFillColor(HexColor(LIGHT[look.fill]))
        if look.opacity < 1.0:
            canvas.setFillAlpha(look.opacity)
    if look.stroke:
        canvas.setStrokeColor(HexColor(LIGHT[look.stroke]))
        canvas.setLineWidth(look.width)
        canvas.setDash(*([list(look.dash)] if look.dash else [[]]))
    return int(look.fill is not None), int(look.stroke is not None)


def _path(rings: tuple[tuple[XY, ...], ...], canvas: Canvas, height: float, closed: bool = True):
    path = canvas.beginPath()
    for ring in rings:
        for i, (x, y) in enumerate(ring):
            (path.lineTo if i else path.moveTo)(round(x, 2), round(height - y, 2))  # finer than any printer
        if closed and ring:
            path.close()
    return path
