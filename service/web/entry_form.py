"""The form of an entry: from what is typed to the document and back.

The form knows a rocket as people do: one length, one diameter; a main canopy, perhaps a drogue before it; fins if
they were measured. `document_of` puts that where the launch-day document has it, `form_at` finds the way back.
What an entry has beyond the form (a third set of fins, a table of drag) is kept as it is.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from service.models.entry import Entry
from service.models.motor import Motor
from service.planning.errors import Fault
from service.planning.motor_csv import read_delays, write_delays
from service.planning.thrust_csv import BadCurve, read_thrust_csv, write_thrust_csv
from service.web.entry_fields import FIN_SETS, FINISHES, NUMBERS, OWN, OWN_MOTOR, TRANSITIONS
from service.web.forms import Form
from service.web.places import place_words


def document_of(form: Form, entry_id: str, before: Entry | None = None) -> dict[str, Any]:
    """The entry that was typed, as a document; faults of single fields are in the form afterwards."""
    typed = form.document()
    kept: dict[str, Any] = before.model_dump(mode="json") if before else {}
    rocket = typed.get("rocket", {})
    airframe, known = rocket.pop("airframe", {}), rocket.get("known", {})
    old_rocket = kept.get("rocket", {})
    old_frame = old_rocket.get("airframe") or {}
    if isinstance(old_rocket.get("known", {}).get("drag_coefficient"), list) and "drag_coefficient" not in known:
        known["drag_coefficient"] = old_rocket["known"]["drag_coefficient"]
    if old_rocket.get("known", {}).get("cn_alpha_per_rad") is not None:
        known["cn_alpha_per_rad"] = old_rocket["known"]["cn_alpha_per_rad"]
    if known:
        rocket["known"] = known
    if has_shape(form):
        frame = {"length_m": rocket.pop("length_m", None), "diameter_m": rocket.pop("diameter_m", None)}
        frame |= {name: value for name, value in frame.items() if value is not None}
        frame["nose"] = {**({"parameter": (old_frame.get("nose") or {}).get("parameter")}), **airframe.get("nose", {})}
        if (old_frame.get("nose") or {}).get("shape") != frame["nose"].get("shape"):
            frame["nose"].pop("parameter", None)
        frame["finish_um"] = _finish_um(float(airframe.get("finish_um", 60.0)), old_frame.get("finish_um"))
        frame["lugs_from_nose_m"] = _lugs(airframe.get("lugs_from_nose_m", []), old_frame.get("lugs_from_nose_m") or [])
        frame["fins"] = _sets(form, airframe, old_frame, "fins", FIN_SETS)
        frame["transitions"] = _sets(form, airframe, old_frame, "transitions", TRANSITIONS)
        rocket["airframe"] = {name: value for name, value in frame.items() if value is not None}
    flyer = typed.get("flyer", {})
    if flyer.get("adult"):
        flyer.pop("responsible_adult", None)  # not needed, so not kept
    for name in ("certification", "certifying"):
        if name in flyer:
            flyer[name] = int(flyer[name])
    made = {
        "id": entry_id,
        "flyer": flyer,
        "rocket": rocket,
        "motor_count": typed.get("motor_count", 1),
        "delay_s": typed.get("delay_s"),
        "recovery": _recovery(form, typed, kept.get("recovery", [])),
    }
    return made | {name: typed[name] for name in ("motor", "pad") if name in typed}


def _lugs(typed: list[Any], before: list[float]) -> list[Any] | None:
    """The lugs that were typed; those in the middle, which the form does not show, stay where the ends do."""
    stated = [each for each in typed if each is not None]
    if len(before) > 2 and stated == [before[0], before[-1]]:
        return before
    return stated or None


def _finish_um(chosen: float, before: float | None) -> float:
    """The chosen surface, or what was stated before where that is the nearest choice to it."""
    return before if before is not None and _nearest_finish(before) == chosen else chosen


def _nearest_finish(finish_um: float) -> float:
    return min((float(value) for value, _ in FINISHES), key=lambda each: abs(each - finish_um))


def has_shape(form: Form) -> bool:
    """Whether any figure of the geometry was typed: then the rocket is flown as drawn, else as a generic one."""
    return _begun(form, "/rocket/airframe/")


def _begun(form: Form, prefix: str) -> bool:
    return any(form.typed[at] for at, each in form.fields.items() if at.startswith(prefix) and each.kind in NUMBERS)


def _sets(form: Form, airframe: dict[str, Any], old: dict[str, Any], name: str, most: int) -> list[Any]:
    listed = airframe.get(name, [])
    shown = [listed[i] for i in range(min(most, len(listed))) if _begun(form, f"/rocket/airframe/{name}/{i}/")]
    olds = old.get(name, [])
    for fins, before in zip(shown, olds):
        if name == "fins" and before.get("cant_deg"):
            fins["cant_deg"] = before["cant_deg"]
    return [*shown, *olds[most:]]


def _recovery(form: Form, typed: dict[str, Any], old: list[Any]) -> list[Any]:
    devices: list[Any] = []
    for name in ("drogue", "main"):
        device = typed.get(name, {})
        kind = device.get("kind", "")
        if not kind:
            continue
        device["name"] = name
        same_order = len(old) == (2 if typed.get("drogue", {}).get("kind") else 1)
        if same_order:
            device["name"] = old[len(devices)]["name"]
        deploy = device.get("deploy", {})
        if kind == "none":
            device.pop("deploy", None)
        elif deploy.get("at") != "altitude":
            deploy.pop("altitude_m", None)
            if deploy.get("at") != "apogee":
                deploy.pop("delay_s", None)
        else:
            deploy.pop("delay_s", None)
        devices.append(device)
    return [*devices, *(old[2:] if len(old) > 2 else [])]


def form_at(form: Form, at: str) -> str:
    """The form's field for a place of the document."""
    for name in ("length_m", "diameter_m"):
        if at == f"/rocket/airframe/{name}":
            at = f"/rocket/{name}"
    with_drogue = bool(form.typed.get("/drogue/kind"))
    for index, name in enumerate(("drogue", "main") if with_drogue else ("main",)):
        if at == f"/recovery/{index}" or at.startswith(f"/recovery/{index}/"):
            at = f"/{name}" + at.removeprefix(f"/recovery/{index}")
    if at.endswith(("/deploy", "/name")) and at.startswith(("/main", "/drogue")):
        at = at.rpartition("/")[0] + "/deploy/at"
    return "/main/kind" if at in ("/main", "/drogue", "/recovery") else at


def changed_words(form: Form, changed: Iterable[str], now: Entry, own: Motor | None = None) -> tuple[str, ...]:
    """What somebody else changed, by the form's labels; where it is not what is typed here, what stands there now."""
    kept = Form.filled(tuple(form.fields.values()), typed_of(now, own), form.units, form.zone)
    said = []
    for pointer in changed:
        at = form_at(form, pointer)
        words = place_words(at, form.fields)
        if at in form.fields and form.typed[at] != kept.typed[at]:
            words += f", now {kept.shown(at) or 'empty'}"
        said.append(words)
    return tuple(dict.fromkeys(said))


def refuse(form: Form, faults: tuple[Fault, ...] | list[Fault]) -> None:
    """Put the faults of the document beside the form's fields."""
    form.refuse([Fault(form_at(form, each.pointer), each.found, each.expected) for each in faults])


def own_motor(form: Form, motor_id: str, before: Motor | None = None) -> dict[str, Any] | None:
    """The motor that the flyer brings, as a document; None when one on offer was chosen.

    `before` is the one that the entry has already: what the form does not show of it is kept, and all of it where
    nothing of it was changed.
    """
    if form.typed["/motor"] != OWN:
        return None
    if before is not None and _untouched(form, before):
        return before.model_dump(mode="json")
    typed = form.document().get("own", {})
    kept = before.model_dump(mode="json", include={"casing", "effect", "price"}) if before else {}
    if before is not None and typed.get("case") != before.case:
        kept["casing"] = None
    made = {**kept, "id": motor_id, "stock": 0, **typed}
    try:
        made["delays"] = read_delays(made.get("delays") or "P")
    except ValueError:
        text = made.pop("delays")
        form.add("/own/delays", f'found "{text[:40]}"; expected seconds with commas between, such as 3, 5, 7')
    if made.get("delays", {}).get("kind") == "fixed":
        made["delays"]["seconds"].sort()
    try:
        made["thrust_curve"] = read_thrust_csv(form.typed["/own/thrust_curve"])
    except BadCurve as error:
        form.add("/own/thrust_curve", str(error))
        made.pop("thrust_curve", None)
    return made


def _untouched(form: Form, motor: Motor) -> bool:
    """Whether the form shows a motor as it is: then no digit of it is lost to the reader's units."""
    kept = Form.filled(OWN_MOTOR, {"own": _own_typed(motor)}, form.units, form.zone)
    return all(form.typed[at].split() == kept.typed[at].split() for at in kept.typed)


def _own_typed(motor: Motor) -> dict[str, Any]:
    delays = {"fixed": write_delays(motor).replace(";", ", "), "plugged": ""}.get(motor.delays.kind)
    shown = motor.model_dump(mode="json")
    shown["delays"] = write_delays(motor) if delays is None else delays
    return shown | {"thrust_curve": write_thrust_csv(motor.thrust_curve)}


def typed_of(entry: Entry, own: Motor | None = None) -> dict[str, Any]:
    """An entry as the form shows it, with the motor that its flyer brings where it flies one."""
    document: dict[str, Any] = entry.model_dump(mode="json")
    if own is not None:
        document |= {"motor": OWN, "own": _own_typed(own)}
    rocket = document["rocket"]
    frame = rocket.get("airframe")
    if frame:
        rocket["length_m"], rocket["diameter_m"] = frame["length_m"], frame["diameter_m"]
        frame["finish_um"] = f"{_nearest_finish(frame['finish_um']):g}"
        lugs = frame.get("lugs_from_nose_m") or []
        frame["lugs_from_nose_m"] = [lugs[0], lugs[-1]] if len(lugs) > 1 else lugs
    if isinstance(rocket["known"].get("drag_coefficient"), list):
        rocket["known"]["drag_coefficient"] = None
    devices = document.pop("recovery")
    document["main"] = devices[1] if len(devices) > 1 else devices[0]
    document["drogue"] = devices[0] if len(devices) > 1 else {}
    return document
