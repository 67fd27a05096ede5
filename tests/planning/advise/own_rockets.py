"""Five rockets unlike those of the demo day, for its field and its motors."""

from __future__ import annotations

from typing import Any

from service.models.entry import Entry


def _rocket(name: str, length_m: float, diameter_m: float, mass_kg: float, cg_m: float, mount: dict[str, Any],
            fin: dict[str, float], count: int = 4) -> dict[str, Any]:  # fmt: skip
    """An ogive of three and a half diameters, one set of fins flush with the tail."""
    root_m = fin["root_chord_m"]
    return {
        "name": name,
        "airframe": {
            "length_m": length_m,
            "diameter_m": diameter_m,
            "finish_um": 60,
            "nose": {"shape": "ogive", "length_m": 3.5 * diameter_m},
            "fins": [{**fin, "count": count, "edge": "rounded", "leading_edge_from_nose_m": length_m - root_m}],
        },
        "mass_kg": mass_kg,
        "cg_from_nose_m": cg_m,
        "mount": mount,
    }


def _fin(root_m: float, tip_m: float, span_m: float, sweep_m: float, thickness_m: float) -> dict[str, float]:
    return {"root_chord_m": root_m, "tip_chord_m": tip_m, "span_m": span_m, "sweep_m": sweep_m,
            "thickness_m": thickness_m}  # fmt: skip


def _flyer(certification: int = 0, *, adult: bool = True, first: bool = False) -> dict[str, Any]:
    return {"name": "Flyer 91", "adult": adult, "supervised": not adult,
            "responsible_adult": None if adult else "Flyer 92", "certification": certification,
            "first_flight": first}  # fmt: skip


AT_DELAY = {"at": "motor_delay"}
OWN: tuple[Entry, ...] = tuple(
    Entry.model_validate(each)
    for each in (
        {  # a beginner's: one thin tube, open at the front, a streamer
            "id": "own-1", "flyer": _flyer(adult=False, first=True), "motor": "lantern-b5", "delay_s": 5.0, "pad": "A2",
            "rocket": _rocket("Whinchat", 0.38, 0.025, 0.034, 0.20,
                              {"diameter_m": 0.018, "length_m": 0.07, "open_ended": True},
                              _fin(0.045, 0.03, 0.035, 0.02, 0.0016), 3),
            "recovery": [{"name": "streamer", "kind": "streamer", "length_m": 1.0, "width_m": 0.1,
                          "deploy": AT_DELAY}],
        },
        {  # a long hook: 24 mm motors up to 95 mm
            "id": "own-2", "flyer": _flyer(), "motor": "lantern-d9", "delay_s": 5.0, "pad": "B1",
            "rocket": _rocket("Dunlin", 0.72, 0.042, 0.16, 0.40, {"diameter_m": 0.024, "length_m": 0.095},
                              _fin(0.08, 0.045, 0.055, 0.03, 0.0032)),
            "recovery": [{"name": "main", "kind": "parachute", "diameter_m": 0.4, "deploy": AT_DELAY}],
        },
        {  # 29 mm, certified: reloads too
            "id": "own-3", "flyer": _flyer(1), "motor": "quillon-g52", "delay_s": 7.0, "pad": "B2",
            "rocket": _rocket("Godwit", 1.05, 0.066, 0.72, 0.66, {"diameter_m": 0.029, "length_m": 0.2},
                              _fin(0.14, 0.08, 0.09, 0.05, 0.0032)),
            "recovery": [{"name": "main", "kind": "parachute", "diameter_m": 0.85, "deploy": AT_DELAY}],
        },
        {  # electronics open both canopies; 38 mm and, with an adapter, 29 mm
            "id": "own-4", "flyer": _flyer(2), "motor": "marrow-hill-i185", "delay_s": 14.0, "pad": "C1",
            "rocket": _rocket("Lapwing", 1.7, 0.079, 2.4, 1.14, {"diameter_m": 0.038, "length_m": 0.47},
                              _fin(0.2, 0.1, 0.11, 0.09, 0.0045)),
            "recovery": [
                {"name": "drogue", "kind": "parachute", "diameter_m": 0.4, "deploy": {"at": "apogee"}},
                {"name": "main", "kind": "parachute", "diameter_m": 1.6,
                 "deploy": {"at": "altitude", "altitude_m": 150.0}},
            ],
        },
        {  # two side by side
            "id": "own-5", "flyer": _flyer(1), "motor": "lantern-c7", "motor_count": 2, "delay_s": 4.0, "pad": "B1",
            "rocket": _rocket("Sanderling", 0.7, 0.056, 0.15, 0.38, {"diameter_m": 0.018, "length_m": 0.07},
                              _fin(0.08, 0.05, 0.06, 0.03, 0.0024)),
            "recovery": [{"name": "main", "kind": "parachute", "diameter_m": 0.4, "deploy": AT_DELAY}],
        },
    )
)  # fmt: skip
