"""Faults beside a field: in the unit that it is typed in, by the labels of the form, each closed once.

1 in = 25.4 mm, 1 ft = 0.3048 m and 1 oz = 28.349523125 g, exact by the international agreement of 1959.
"""

from __future__ import annotations

import html
import re

import pytest

from service.planning.errors import Fault
from service.web.forms import Form, FormField
from service.web.words import closed
from tests.web.test_registering import FULL, SEND, SHORT

FIELDS = (
    FormField("/rocket/mass_kg", "Mass", "number", quantity="mass"),
    FormField("/rocket/length_m", "Length", "number", quantity="short_length"),
    FormField("/motor", "Motor"),
    FormField("/motor_count", "How many", "whole"),
    FormField("/caution", "Caution above", "number", unit="%", scale=0.01),
    FormField("/stop", "Stop above", "number", unit="%", scale=0.01),
    FormField("/opens/at", "Opens by", "choice", choices=(("motor_delay", "the motor's delay"),)),
    FormField("/opens/altitude_m", "Opens at", "number", quantity="length"),
)
TYPED = {"/rocket/mass_kg": "-5", "/rocket/length_m": "16.5", "/motor_count": "3", "/stop": "0.1"}
UNLIKE = Fault("/rocket/length_m", "0.4191 m", "at least the diameter, 0.9 m")
LIGHT = Fault("/rocket/mass_kg", "-0.14174761563", "a number from 0.001 to 1,000 kg")
LOW = Fault("/opens/altitude_m", "3", "a number from 10 to 20,000 m above the field")
CROWD = Fault("/motor_count", "3 motors that need a body of 0.0517 m", "as many as go into 0.041 m")


@pytest.mark.parametrize(
    ("units", "fault", "says"),
    [
        ("us", LIGHT, "found -5 oz; expected a number from 0.035274 to 35,274 oz"),
        ("us", UNLIKE, "found 16.5 in; expected at least the diameter, 35.4 in"),
        ("us", CROWD, "found 3 motors that need a body of 2.04 in; expected as many as go into 1.61 in"),
        ("si", CROWD, "found 3 motors that need a body of 51.7 mm; expected as many as go into 41 mm"),
        ("us", LOW, "found 3; expected a number from 32.8084 to 65,616.8 ft above the field"),
        ("si", Fault("/stop", "0.001", "at least caution, 0.01"), "found 0.1 %; expected at least caution, 1 %"),
        ("si", Fault("/stop", "0.7", "at most 0.5 (fraction)"), "found 0.1 %; expected at most 50 %"),
        ("si", Fault("/opens/at", "motor_delay", "x"), "found the motor's delay; expected x"),
        ("si", Fault("/motor", "a", "with altitude_m, or null"), "found a; expected with “Opens at”, or nothing"),
        ("si", Fault("/motor", "nothing", "from tip to base. [m]"), "found nothing; expected this to be filled in"),
        ("si", Fault("/motor", "nothing", "the balance point, in m"), "found nothing; expected the balance point"),
        ("si", Fault("/motor", "x", "a value of the kind the schema describes"), "found x; expected something else"),
    ],
)  # fmt: skip
def test_in_the_words_of_the_form(units, fault, says):
    form = Form.read(FIELDS, TYPED, units)
    form.refuse([fault])
    assert list(form.faults.values()) == [[says]]


def test_above_the_form_a_place_is_named_in_words():
    form = Form.read(FIELDS, {}, "us")
    form.refuse([Fault("/conditions/pressure_hpa", "978 hPa at a field 1310 m up", "about 870 hPa")])
    # 1 inHg = 33.8639 hPa (NIST SP 811, from memory, not re-read)
    assert form.general == [
        "conditions, pressure: found 28.9 inHg at a field 4,298 ft (1310 m) up; expected about 25.7 inHg"
    ]


@pytest.mark.parametrize(
    ("units", "typed", "at", "says"),
    [
        ("us", SHORT | {"/motor_count": "3"}, "motor_count", "a body of 1.53 in; expected as many as go into 0.984"),
        ("us", {**SHORT, "/rocket/mount/diameter_m": "0.5"}, "motor", "the mount of 0.5 in"),
        ("si", {**FULL, "/rocket/airframe/nose/length_m": ""}, "rocket-airframe-nose-length_m", "to be filled in."),
    ],
)
def test_on_the_page(browser, day, units, typed, at, says):
    inches = ("length_m", "diameter_m")
    if units == "us":
        browser.post("/units", {"units": "us"})
        big = {name for name in SHORT if name.endswith(inches) and float(typed[name]) > 5}
        typed = {name: f"{float(value) / 25.4:.4f}" if name in big else value for name, value in typed.items()}
    page = browser.post(SEND, typed)
    assert page.status_code == 422
    fault = html.unescape(re.search(rf'id="f-{at}-fault">([^<]*)<', page.text)[1])
    assert says in fault and ".." not in fault and "[m]" not in fault


@pytest.mark.parametrize(("text", "ends"), [("together..", "together."), ("right?", "right?"), ("a", "a.")])
def test_closed_once(text, ends):
    assert closed(text) == ends
