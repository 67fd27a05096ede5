"""What an assessment leaves in a folder: JSON, GeoJSON, KML, GPX. Written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

import shapely

from geo.boundary import read_boundary, read_zone
from geo.features import Feature
from geo.geojson import write_geojson
from geo.gpx import write_gpx
from geo.kml import write_kml
from reports.sentences import MODE_WORDS, ZONE_WORDS
from service.models.assessment import Assessment, DayAssessment
from service.models.day import LaunchDay


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that a reader sees the old one or the new one, never half of it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.chmod(name, 0o644)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def assessment_files(day: LaunchDay, result: DayAssessment) -> Mapping[str, bytes]:
    """File names and contents for one assessed day."""
    features = [*field_features(day), *(f for each in result.assessments for f in footprint_features(each))]
    about = {"name": day.name, "date": result.date, "engine": result.engine, "conditions_at": result.conditions_at}
    return {
        "assessment.json": result.model_dump_json(indent=1).encode(),
        "footprints.geojson": write_geojson(features, about).encode(),
        "footprints.kml": write_kml(features, f"{day.name}, {result.date}"),
        "recovery.gpx": write_gpx(recovery_features(day, result), f"{day.name}, {result.date}: recovery search"),
    }


def field_features(day: LaunchDay) -> list[Feature]:
    """The field itself: boundary, zones, pads."""
    pads = [(pad.position[0], pad.position[1]) for pad in day.field.pads]
    boundary = read_boundary(day.field.boundary.model_dump(mode="json"), pads).geometry
    found = [Feature(day.field.name, boundary, "boundary", "The field's boundary.")]
    for zone in day.field.zones:
        shape = read_zone(zone.geometry.model_dump(mode="json"), pads).geometry
        words = ZONE_WORDS[zone.kind]
        properties = {"zone": words, "people": zone.people} if zone.people is not None else {"zone": words}
        found.append(Feature(zone.name, shape, zone.kind, words, properties))
    for pad in day.field.pads:
        note = f"{pad.guide}, {pad.guide_length_m:g} m, tilt {pad.tilt_deg:g}° toward {pad.azimuth_deg:g}°"
        found.append(Feature(f"Pad {pad.name}", shapely.Point(*pad.position), "pad", note))
    return found


def recovery_features(day: LaunchDay, result: DayAssessment) -> list[Feature]:
    """For the search: pads and expected landing points as waypoints, the 95 % contour of each as a track to walk."""
    found = [each for each in field_features(day) if each.kind == "pad"]
    for each in result.assessments:
        planned = each.footprint("planned")
        if planned is None or planned.landing is None:
            continue
        words = f"{each.rocket}: expected landing, as planned."
        found.append(Feature(each.entry, shapely.Point(*planned.landing), "landing", words))
        contour = next((c for c in planned.contours if c.share == 0.95), None)
        if contour is not None:
            shape = shapely.geometry.shape(contour.geometry)
            words = f"{each.rocket}: 95 % of landings, as planned."
            found.append(Feature(f"{each.entry} 95 %", shape, "contour_95", words))
    return found


def footprint_features(each: Assessment) -> list[Feature]:
    """Contours and nominal landing points of one entry, a feature each, modes apart."""
    found = []
    for footprint in each.footprints:
        mode = MODE_WORDS[footprint.mode]
        inside = footprint.inside.estimate if footprint.inside else None
        for contour in footprint.contours:
            percent = round(100 * contour.share)
            found.append(
                Feature(
                    f"{each.entry} {mode} {percent} %",
                    shapely.geometry.shape(contour.geometry),
                    f"contour_{percent}",
                    f"{each.rocket}: {percent} % of landings, {mode}.",
                    {
                        "entry": each.entry,
                        "rocket": each.rocket,
                        "mode": footprint.mode,
                        "share": contour.share,
                        "area_m2": round(contour.area_m2, 1),
                        "chance_inside": inside,
                        "standing": each.standing,
                        "assessment": each.id,
                    },
                )
            )
        if footprint.landing is not None:
            found.append(
                Feature(
                    f"{each.entry} {mode}",
                    shapely.Point(*footprint.landing),
                    "landing",
                    f"{each.rocket}: landing of the nominal flight, {mode}.",
                    {"entry": each.entry, "mode": footprint.mode, "standing": each.standing},
                )
            )
    return found
