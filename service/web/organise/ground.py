"""Boundary, zones and pads, each with the map beside."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, get_args

from service.models.field import GuideKind, ZoneKind
from service.planning.outline_text import BadOutline, Geometry, outlines_of, read_outline, read_position, write_outline
from service.planning.quantities import Units
from service.web.forms import Form, FormField
from service.web.organise.part import Header, Plain, Rows, Typed

KINDS = tuple((each, each.replace("_", " ")) for each in get_args(ZoneKind))
GUIDES = tuple((each, each) for each in get_args(GuideKind))
OCCUPIED = (("", "not known"), ("true", "yes"), ("false", "no"))
CORNERS = "A line for each corner: latitude, longitude in degrees. Or the text of a GeoJSON or KML file."
FILE = "a GeoJSON, KML or KMZ file"


class Boundary(Plain):
    slug, title, has_map, file_words = "boundary", "Boundary", True, FILE
    lead = "The ground on which rockets may come down."
    headings = (("Boundary", "/", ""),)

    def fields(self, header: Header) -> tuple[FormField, ...]:
        return (
            FormField("/field/boundary", "Corners", "lines", needed=True, help=CORNERS),
            FormField("/which", "Name of the shape", optional=True, help="Where a file holds several."),
        )

    def shown(self, header: Header) -> Header:
        header["field"]["boundary"] = write_outline(header["field"]["boundary"])
        return header

    def before(self, form: Form, file: bytes) -> None:
        text = form.typed["/field/boundary"]
        try:
            if not file and text.lstrip()[:1] not in ("{", "<"):
                return
            areas = named_apart(outlines_of(file or text.encode(), lines=False))
        except BadOutline as error:
            if file:
                form.add("/field/boundary", f"the file: {error}")
            return  # a text is read again, and what is wrong with it said then
        if len(areas) == 1:
            form.typed["/field/boundary"] = write_outline(areas[0][1])
            return
        form.typed["/field/boundary"] = write_outlines(areas)
        self._offer([name for name, _ in areas], form)

    def _offer(self, names: list[str], form: Form) -> None:
        """Let one of several areas be chosen; what was typed for its name counts where it is one of them."""
        asked = form.typed["/which"].strip().casefold()
        chosen = next((name for name in names if name.casefold() == asked), "")
        listed = (("", "choose one"), *((name, name) for name in names))
        form.fields["/which"] = FormField("/which", "Which of the areas", "choice", choices=listed)
        form.typed["/which"] = chosen
        if not chosen:
            form.add("/which", f"found {len(names)} areas; expected one of them to be chosen")

    def made(self, document: Header, form: Form, kept: Header) -> Header:
        text = document["field"].get("boundary")
        which = document.pop("which", "")
        if "/which" in form.faults:
            document["field"]["boundary"] = kept["field"]["boundary"]
        elif isinstance(text, str):
            try:
                document["field"]["boundary"] = read_outline(text, which=which)
            except BadOutline as error:
                form.add("/field/boundary", str(error))
        return document


class Zones(Rows):
    slug, title, has_map, path, one = "zones", "Zones", True, "/field/zones", "zone"
    beside = ("name", "geometry")
    file_words = f"{FILE}: each shape in it becomes a zone"
    lead = "People, cars, buildings, roads and the like, in the field and near it."

    def row_fields(self, at: str) -> tuple[FormField, ...]:
        return (
            FormField(f"{at}/name", "Name"),
            FormField(f"{at}/kind", "Kind", "choice", choices=KINDS),
            FormField(f"{at}/people", "People there while rockets fly", "whole", optional=True),
            FormField(
                f"{at}/occupied", "People in it", "choice", choices=OCCUPIED, help="For a building, while rockets fly."
            ),
            FormField(
                f"{at}/geometry", "Corners", "lines",
                help=f"{CORNERS} Roads, power lines, water and trees are lines unless the last point is the first.",
            ),
        )  # fmt: skip

    def called(self, form: Form, at: str) -> str:
        return f"{form.typed[f'{at}/name']} ({dict(KINDS).get(form.typed[f'{at}/kind'], '')})"

    def row_shown(self, row: Any) -> Any:
        return {**row, "geometry": write_outline(row["geometry"])}

    def row_made(self, row: Header, form: Form, at: str) -> Any:
        text = row.get("geometry")
        if isinstance(text, str):
            try:
                row["geometry"] = read_outline(text, kind=str(row.get("kind", "")))
            except BadOutline as error:
                form.add(f"{at}/geometry", str(error))
        return row

    def read(self, sent: Mapping[str, str], file: bytes, header: Header, units: Units, zone: str) -> Typed:
        added, fault = dict(sent), ""
        if file:
            first = max((int(name.split("/")[3]) for name in sent if name.startswith(self.path + "/")), default=-1) + 1
            if first and not sent.get(f"{self.path}/{first - 1}/name") and not sent.get(
                f"{self.path}/{first - 1}/geometry"
            ):
                first -= 1
            try:
                for number, (name, shape) in enumerate(outlines_of(file), start=first):
                    at = f"{self.path}/{number}"
                    added[f"{at}/name"] = name or f"Zone {number + 1}"
                    added[f"{at}/kind"] = sent.get("file_kind", "keep_out")
                    added[f"{at}/geometry"] = write_outline(shape)
            except BadOutline as error:
                fault = f"the file: {error}"
        typed = super().read(added, b"", header, units, zone)
        if fault:
            typed.form.general.append(fault)
        return typed


class Pads(Rows):
    slug, title, has_map, path, one, beside = "pads", "Pads", True, "/field/pads", "pad", ("name", "position")
    least = 1
    lead = "Where rockets leave from, and what guides them at first."

    def row_fields(self, at: str) -> tuple[FormField, ...]:
        return (
            FormField(f"{at}/name", "Name"),
            FormField(f"{at}/position", "Place", help="Latitude, longitude in degrees, such as 46.915, -97.515."),
            FormField(f"{at}/guide", "Guide", "choice", choices=GUIDES),
            FormField(f"{at}/guide_length_m", "Guide length", "number", quantity="length"),
            FormField(f"{at}/tilt_deg", "Lean from vertical", "number", unit="°", default="0"),
            FormField(f"{at}/azimuth_deg", "Leans toward", "number", unit="° true", default="0"),
        )

    def row_shown(self, row: Any) -> Any:
        lon_deg, lat_deg = row["position"]
        return {**row, "position": f"{lat_deg!r}, {lon_deg!r}"}

    def row_made(self, row: Header, form: Form, at: str) -> Any:
        text = row.get("position")
        if isinstance(text, str):
            try:
                row["position"] = read_position(text)
            except BadOutline as error:
                form.add(f"{at}/position", str(error))
        return row


def named_apart(found: list[tuple[str, Geometry]]) -> list[tuple[str, Geometry]]:
    """Areas each with a name of its own, so that one can be chosen.

    >>> [name for name, _ in named_apart([("North", {}), ("", {}), ("north", {})])]
    ['North', 'Area 2', 'north (3)']
    """
    taken: set[str] = set()
    made = []
    for number, (name, shape) in enumerate(found, start=1):
        called = name.strip() or f"Area {number}"
        if called.casefold() in taken:
            called = f"{called} ({number})"
        taken.add(called.casefold())
        made.append((called, shape))
    return made


def write_outlines(areas: list[tuple[str, Geometry]]) -> str:
    """Several areas as the text of one GeoJSON file (RFC 7946)."""
    features = [{"type": "Feature", "properties": {"name": name}, "geometry": shape} for name, shape in areas]
    return json.dumps({"type": "FeatureCollection", "features": features}, ensure_ascii=False)
