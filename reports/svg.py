"""A scene as SVG: text stays text, colours are classes with a fallback, dark ground included."""

from __future__ import annotations

import re
from xml.sax.saxutils import escape, quoteattr

from reports.scene import Area, Cut, Disc, Label, Line, Look, Scene, Shape
from reports.theme import DARK, LIGHT

FAMILY = "'Bitstream Vera Sans','DejaVu Sans',Verdana,system-ui,sans-serif"
MARGIN = 10.0  # around a picture that is a file of its own
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write_svg(scene: Scene, name: str = "picture", standalone: bool = True) -> str:
    """The scene as one `<svg>` element.

    `name` must be unique on a page: ids start with it. A page's own style sheet can set the variables
    ``--rh-ink``, ``--rh-paper`` and so on, or the classes ``rh-fill-ink``, ``rh-line-ink``; without one the
    picture follows the system's wish for light or dark. `standalone` False leaves the style element out
    (put `style_sheet()` on the page once).
    """
    return _Writer(name).write(scene, standalone)


def svg_file(scene: Scene, name: str = "picture") -> str:
    """The scene as a file of its own: its size, a margin, and paper behind it.

    Without paper a viewer that lays a white page under it would show light ink on white where the system wishes dark.
    """
    return _Writer(name).write(scene, standalone=True, margin=MARGIN)


def style_sheet() -> str:
    """CSS for the colour roles, light and dark, each open to the page by a variable."""
    light = "".join(_rules(role, colour) for role, colour in LIGHT.items())
    dark = "".join(_rules(role, colour) for role, colour in DARK.items())
    return f"{light}@media (prefers-color-scheme:dark){{{dark}}}@media print{{{light}}}"


def _rules(role: str, colour: str) -> str:
    value = f"var(--rh-{role},{colour})"
    return f".rh-fill-{role}{{fill:{value}}}.rh-line-{role}{{stroke:{value}}}"


def _text(text: str) -> str:
    return escape(_NOT_XML.sub("\N{REPLACEMENT CHARACTER}", text))


def _n(number: float) -> str:
    text = f"{number:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


class _Writer:
    def __init__(self, name: str) -> None:
        self.name = re.sub(r"[^A-Za-z0-9_-]", "-", name) or "picture"
        self.clips = 0

    def write(self, scene: Scene, standalone: bool, margin: float = 0.0) -> str:
        name = self.name
        wide, tall = _n(scene.width + 2.0 * margin), _n(scene.height + 2.0 * margin)
        frame, paper = f'viewBox="{_n(-margin)} {_n(-margin)} {wide} {tall}"', ""
        if margin:
            frame += f' width="{wide}" height="{tall}"'
            paper = (
                f'<rect x="{_n(-margin)}" y="{_n(-margin)}" width="{wide}" height="{tall}" '
                f'class="rh-fill-paper" fill="{LIGHT["paper"]}"/>'
            )
        style = f"<style>{style_sheet()}</style>" if standalone else ""
        body = "".join(self.shape(shape) for shape in scene.shapes)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" {frame} '
            f'role="img" aria-labelledby="{name}-title {name}-desc" class="rh-picture" font-family="{FAMILY}" '
            f'style="font-variant-numeric:tabular-nums">'
            f'<title id="{name}-title">{_text(scene.title)}</title>'
            f'<desc id="{name}-desc">{_text(scene.description)}</desc>{style}{paper}{body}</svg>'
        )

    def shape(self, shape: Shape) -> str:
        if isinstance(shape, Cut):
            return self.cut(shape)
        if isinstance(shape, Label):
            return self.label(shape)
        if isinstance(shape, Disc):
            x, y = shape.centre
            return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(shape.radius)}"{_look(shape.look, shape.name)}/>'
        if isinstance(shape, Line):
            points = " ".join(f"{_n(x)},{_n(y)}" for x, y in shape.points)
            return f'<polyline points="{points}"{_look(shape.look, shape.name)}/>'
        return self.area(shape)

    def area(self, shape: Area) -> str:
        start = f'<path d="{_path(shape.rings)}" fill-rule="evenodd"{_look(shape.look, shape.name)}'
        return f"{start}><title>{_text(shape.title)}</title></path>" if shape.title else start + "/>"

    def label(self, shape: Label) -> str:
        x, y = shape.at
        weight = ' font-weight="bold"' if shape.bold else ""
        names = quoteattr(f"rh-{shape.name} rh-fill-{shape.role}")
        return (
            f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(shape.size)}" text-anchor="{shape.anchor}"{weight} '
            f'class={names} fill="{LIGHT[shape.role]}">{_text(shape.text)}</text>'
        )

    def cut(self, shape: Cut) -> str:
        self.clips += 1
        clip = f"{self.name}-clip-{self.clips}"
        inner = "".join(self.shape(each) for each in shape.shapes)
        return (
            f'<clipPath id="{clip}"><path d="{_path(shape.rings)}" clip-rule="evenodd"/></clipPath>'
            f'<g clip-path="url(#{clip})">{inner}</g>'
        )


def _path(rings: tuple[tuple[tuple[float, float], ...], ...]) -> str:
    return "".join("M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in ring) + "Z" for ring in rings if ring)


def _look(look: Look, name: str) -> str:
    classes = [f"rh-{part}" for part in name.split()]
    parts = []
    if look.fill:
        classes.append(f"rh-fill-{look.fill}")
        parts.append(f'fill="{LIGHT[look.fill]}"')
        if look.opacity < 1.0:
            parts.append(f'fill-opacity="{_n(look.opacity)}"')
    else:
        parts.append('fill="none"')
    if look.stroke:
        classes.append(f"rh-line-{look.stroke}")
        parts.append(f'stroke="{LIGHT[look.stroke]}" stroke-width="{_n(look.width)}" stroke-linejoin="round"')
        if look.dash:
            parts.append(f'stroke-dasharray="{" ".join(_n(d) for d in look.dash)}"')
    return f" class={quoteattr(' '.join(classes))} " + " ".join(parts)
