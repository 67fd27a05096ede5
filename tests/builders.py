"""Small valid documents for tests, unlike the demo day: southern winter, ceiling above sea level, plugged motor."""

from __future__ import annotations

import json
from typing import Any

LON_DEG, LAT_DEG = -63.2, -32.1
HALF_DEG = 0.012  # about 1.1 km each way


def square(half_deg: float, lon_deg: float = LON_DEG, lat_deg: float = LAT_DEG) -> list[list[float]]:
    """A closed ring, anticlockwise, around a place."""
    west, east = lon_deg - half_deg, lon_deg + half_deg
    south, north = lat_deg - half_deg, lat_deg + half_deg
    return [[west, south], [east, south], [east, north], [west, north], [west, south]]


def small_day() -> dict[str, Any]:
    """A launch day with two motors, two pads and three entries, new at each call so that a test may spoil it.

    The first entry is a small model on a fixed delay, the second a dual-deployment rocket on a plugged motor,
    the third a rocket of which only mass, length and diameter are known.
    """
    return {
        "name": "Caldén winter morning",
        "date": "2028-07-09",
        "timezone": "America/Argentina/Cordoba",
        "field": {
            "name": "Caldén",
            "elevation_m": 180.0,
            "terrain": "low_crops",
            "boundary": {"type": "Polygon", "coordinates": [square(HALF_DEG)]},
            "zones": [
                {
                    "name": "Benches",
                    "kind": "people",
                    "geometry": {"type": "Polygon", "coordinates": [square(0.0003, LON_DEG + 0.002)]},
                    "people": 25,
                },
                {
                    "name": "Farm track",
                    "kind": "road",
                    "geometry": {"type": "LineString", "coordinates": [[-63.21, -32.105], [-63.19, -32.104]]},
                },
            ],
            "pads": [
                {"name": "P1", "position": [-63.2, -32.1], "guide": "rod", "guide_length_m": 1.2},
                {
                    "name": "P2",
                    "position": [-63.201, -32.1],
                    "guide": "rail",
                    "guide_length_m": 2.4,
                    "tilt_deg": 3.0,
                    "azimuth_deg": 270.0,
                },
            ],
        },
        "ceiling": [
            {"height_m": 900.0, "datum": "msl"},
            {
                "height_m": 2200.0,
                "datum": "msl",
                "from": "2028-07-09T10:00:00-03:00",
                "to": "2028-07-09T12:00:00-03:00",
                "condition": "a call to the tower",
            },
        ],
        "codes": ["practice"],
        "conditions": {
            "observed_at": "2028-07-09T09:40:00-03:00",
            "source": "mast by the benches",
            "temperature_c": 6.0,
            "pressure_hpa": 996.0,
            "wind": [
                {"height_m": 3.0, "speed_mps": 2.0, "from_deg": 180.0, "gust_mps": 3.0},
                {"height_m": 300.0, "speed_mps": 5.0, "from_deg": 200.0},
                {"height_m": 2500.0, "speed_mps": 9.0, "from_deg": 215.0},
            ],
        },
        "motors": [
            {
                "id": "c6",
                "maker": "Alfar",
                "designation": "C6",
                "case": "single_use",
                "propellant": "black_powder",
                "diameter_m": 0.018,
                "length_m": 0.07,
                "loaded_mass_kg": 0.024,
                "propellant_mass_kg": 0.011,
                "thrust_curve": [[0.0, 0.0], [0.2, 14.0], [0.4, 5.0], [1.6, 4.8], [1.7, 0.0]],
                "delays": {"kind": "fixed", "seconds": [3, 5]},
            },
            {
                "id": "i200",
                "maker": "Alfar",
                "designation": "I200-P",
                "case": "reload",
                "casing": "38/480",
                "propellant": "composite",
                "diameter_m": 0.038,
                "length_m": 0.3,
                "loaded_mass_kg": 0.5,
                "propellant_mass_kg": 0.22,
                "thrust_curve": [[0.0, 0.0], [0.05, 230.0], [1.5, 210.0], [1.9, 40.0], [2.0, 0.0]],
                "delays": {"kind": "plugged"},
                "price": {"amount": "61.50", "currency": "ARS"},
                "stock": 4,
            },
            {
                "id": "f30",
                "maker": "Brezal",
                "designation": "F30",
                "case": "single_use",
                "propellant": "composite",
                "diameter_m": 0.024,
                "length_m": 0.095,
                "loaded_mass_kg": 0.06,
                "propellant_mass_kg": 0.028,
                "thrust_curve": [[0.0, 0.0], [0.1, 36.0], [1.4, 30.0], [1.7, 0.0]],
                "delays": {"kind": "adjustable", "longest_s": 10.0, "shortest_s": 4.0, "step_s": 2.0},
            },
        ],
        "entries": [
            {
                "id": "n1",
                "flyer": {
                    "name": "Flyer 1",
                    "adult": False,
                    "supervised": True,
                    "responsible_adult": "Adult 1",
                    "certification": 0,
                },
                "rocket": {
                    "name": "Hornero",
                    "airframe": {
                        "length_m": 0.42,
                        "diameter_m": 0.025,
                        "nose": {"shape": "parabolic", "length_m": 0.08},
                        "fins": [
                            {
                                "count": 3,
                                "root_chord_m": 0.05,
                                "tip_chord_m": 0.03,
                                "span_m": 0.04,
                                "sweep_m": 0.02,
                                "thickness_m": 0.002,
                                "edge": "square",
                                "leading_edge_from_nose_m": 0.36,
                            }
                        ],
                    },
                    "mass_kg": 0.06,
                    "cg_from_nose_m": 0.22,
                    "mount": {"diameter_m": 0.018, "length_m": 0.07},
                },
                "motor": "c6",
                "delay_s": 5,
                "pad": "P1",
                "recovery": [
                    {
                        "name": "ribbon",
                        "kind": "streamer",
                        "length_m": 0.6,
                        "width_m": 0.06,
                        "deploy": {"at": "motor_delay"},
                    }
                ],
            },
            {
                "id": "n2",
                "flyer": {"name": "Flyer 2", "adult": True, "certification": 1},
                "rocket": {
                    "name": "Carancho",
                    "airframe": {
                        "length_m": 1.7,
                        "diameter_m": 0.08,
                        "nose": {"shape": "haack", "length_m": 0.3, "parameter": 0.0},
                        "transitions": [
                            {"from_nose_m": 0.8, "length_m": 0.1, "fore_diameter_m": 0.06, "aft_diameter_m": 0.08}
                        ],
                        "fins": [
                            {
                                "count": 4,
                                "root_chord_m": 0.2,
                                "tip_chord_m": 0.08,
                                "span_m": 0.1,
                                "sweep_m": 0.09,
                                "thickness_m": 0.004,
                                "edge": "airfoil",
                                "leading_edge_from_nose_m": 1.49,
                            }
                        ],
                    },
                    "mass_kg": 2.1,
                    "cg_from_nose_m": 0.95,
                    "pitch_inertia_kgm2": 0.4,
                    "mount": {"diameter_m": 0.038, "length_m": 0.4},
                    "known": {"drag_coefficient": [[0.0, 0.5], [0.9, 0.6], [1.1, 0.8]]},
                },
                "motor": "i200",
                "pad": "P2",
                "recovery": [
                    {"name": "drogue", "kind": "parachute", "diameter_m": 0.4, "deploy": {"at": "apogee"}},
                    {
                        "name": "main",
                        "kind": "parachute",
                        "diameter_m": 1.2,
                        "drag_coefficient": 1.5,
                        "deploy": {"at": "altitude", "altitude_m": 150.0},
                    },
                ],
                "attestations": {},
            },
            {
                "id": "n3",
                "flyer": {"name": "Flyer 3", "adult": True, "certification": 0, "first_flight": True},
                "rocket": {
                    "name": "Tero",
                    "length_m": 0.7,
                    "diameter_m": 0.042,
                    "mass_kg": 0.25,
                    "mount": {"diameter_m": 0.024, "length_m": 0.07, "open_ended": True},
                },
                "motor": "f30",
                "delay_s": 6.0,
                "pad": "P1",
                "recovery": [
                    {
                        "name": "canopy",
                        "kind": "parachute",
                        "descent_speed_mps": 4.5,
                        "deploy": {"at": "motor_delay"},
                    }
                ],
            },
        ],
    }


def as_bytes(document: Any) -> bytes:
    """A document as it would lie in a file; NaN and infinities are written as Python writes them."""
    return json.dumps(document, ensure_ascii=False).encode()
