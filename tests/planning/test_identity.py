"""The id of an assessment changes with all it rests on and with nothing else."""

from __future__ import annotations

import hashlib
import json
import re

import pytest

from service.planning import identity
from service.planning.identity import assessment_id, canonical, document_hash
from tests.builders import small_day
from tests.planning.quick import drop, put, quick_day

DAWN = {
    "id": "our-wind", "protects": "neighbours", "kind": "measured", "weight": "club", "quantity": "surface_wind_mps",
    "unit": "m/s", "at_most": 9.0,
}  # fmt: skip
SAID = {"by": "Flyer 1", "at": "2028-07-09T09:00:00-03:00"}


def the_id(*changes, seed: int = 1, stale: bool = False) -> str:
    day = quick_day(*changes)
    return assessment_id(day, day.entry_by_id("n1"), day.conditions, seed, stale)


def test_the_same_inputs_give_the_same_id():
    assert the_id() == the_id()
    assert re.fullmatch("[0-9a-f]{32}", the_id())


CHANGES = {
    "surface wind": put("/conditions/wind/0/speed_mps", 2.1),
    "wind direction aloft": put("/conditions/wind/2/from_deg", 216.0),
    "temperature": put("/conditions/temperature_c", 6.5),
    "time of the conditions": put("/conditions/observed_at", "2028-07-09T09:41:00-03:00"),
    "motor curve": put("/motors/0/thrust_curve/2/1", 5.1),
    "motor mass": put("/motors/0/loaded_mass_kg", 0.0241),
    "tilt of the pad": put("/field/pads/0/tilt_deg", 2.0),
    "length of the guide": put("/field/pads/0/guide_length_m", 1.1),
    "place of the pad": put("/field/pads/0/position/0", -63.2001),
    "elevation": put("/field/elevation_m", 181.0),
    "boundary": put("/field/boundary/coordinates/0/1/0", -63.187),
    "people": put("/field/zones/0/people", 26),
    "terrain": put("/field/terrain", "open_grass"),
    "ceiling": put("/ceiling/0/height_m", 910.0),
    "policy": put("/policy/outside_stop", 0.4),
    "samples": put("/policy/samples", 128),
    "a spread": put("/policy/spreads", {"drag": 0.2}),
    "mode chances": put("/mode_chances", {"no_deployment": 0.04}),
    "local rule": put("/local_rules", [DAWN]),
    "codes": put("/codes", ["practice", "us-model"]),
    "delay": put("/entries/0/delay_s", 3),
    "rocket mass": put("/entries/0/rocket/mass_kg", 0.061),
    "fin": put("/entries/0/rocket/airframe/fins/0/span_m", 0.041),
    "flyer": put("/entries/0/flyer/certification", 1),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_the_id_changes_with_what_it_rests_on(change):
    assert the_id(change) != the_id()


def test_every_such_change_has_an_id_of_its_own():
    ids = [the_id(change) for change in CHANGES.values()]
    assert len(set(ids)) == len(ids)


def hour(document):
    document["forecast"] = [{**document["conditions"], "observed_at": "2028-07-09T13:00:00-03:00"}]


LEFT_OUT = {
    "another entry": put("/entries/1/rocket/mass_kg", 2.2),
    "another entry gone": drop("/entries/2"),
    "another motor": put("/motors/2/loaded_mass_kg", 0.061),
    "price": put("/motors/0/price", {"amount": "9.00", "currency": "ARS"}),
    "stock": put("/motors/0/stock", 3),
    "forecast": hour,
    "another pad's tilt": put("/field/pads/1/tilt_deg", 4.0),
    "name of the day": put("/name", "Another name"),
    "name of the flyer": put("/entries/0/flyer/name", "Another flyer"),
    "name of a responsible adult": put("/entries/0/flyer/responsible_adult", "Another adult"),
    "hour the flyer leaves": put("/entries/0/flyer/here_until", "2028-07-09T17:00:00-03:00"),
    "wait after a misfire": put("/policy/misfire_wait_s", 120),
    "a tick of the checklist": put("/entries/0/attestations", {"adv-double": SAID}),
}


@pytest.mark.parametrize("change", LEFT_OUT.values(), ids=LEFT_OUT)
def test_the_id_does_not_change_with_what_it_does_not_rest_on(change):
    assert the_id(change) == the_id()


def test_the_id_changes_with_a_word_that_a_rule_accepts_in_place_of_its_limit():
    airspace = put("/codes", ["practice", "us-airspace"])

    def authorised(document):
        airspace(document)
        put("/attestations", {"us-far-night": SAID})(document)

    assert the_id(authorised) != the_id(airspace)


def test_the_id_changes_with_the_engine_the_seed_and_stale_conditions(monkeypatch):
    first = the_id()
    assert len({first, the_id(seed=2), the_id(stale=True)}) == 3
    monkeypatch.setattr(identity, "engine", lambda: "0.1.0+000000000000")
    assert the_id() != first


def test_a_number_written_in_another_way_is_the_same_number():
    assert the_id(put("/field/elevation_m", 180)) == the_id(put("/field/elevation_m", 180.0))


def test_canonical_text_is_one_text():
    assert canonical({"b": [1, 2.5], "a": "Caldén"}) == '{"a":"Caldén","b":[1,2.5]}'.encode()
    with pytest.raises(ValueError, match="JSON"):
        canonical({"a": float("nan")})


def test_the_document_hash_is_sha_256_of_the_bytes():
    """FIPS 180-2, appendix B.1 (from memory, not re-read): the digest of the three letters abc."""
    assert document_hash(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    data = json.dumps(small_day()).encode()
    assert document_hash(data) == hashlib.sha256(data).hexdigest() != document_hash(data + b"\n")
