"""Forms: what is typed becomes a document, what is kept comes back, a fault finds its field."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.planning.errors import Fault
from service.planning.quantities import FormQuantity, from_si, to_si
from service.web.forms import Form, FormField, read_moment, read_number

FIELDS = (
    FormField("/name", "Name", needed=True),
    FormField("/mass_kg", "Mass", "number", quantity="mass"),
    FormField("/share", "Share", "number", unit="%", scale=0.01),
    FormField("/parts/0/length_m", "Length", "number", quantity="short_length"),
    FormField("/parts/1/length_m", "Length", "number", quantity="short_length"),
    FormField("/calm", "Calm", "flag"),
    FormField("/at", "Time", "moment"),
    FormField("/gust", "Gust", "number", null_when_empty=True),
)


def test_typed_to_document_and_back():
    typed = {"/name": " A ", "/mass_kg": "60", "/share": "5", "/parts/1/length_m": "25", "/calm": "true",
             "/at": "2027-05-15T09:00"}  # fmt: skip
    form = Form.read(FIELDS, typed, "si", "America/Chicago")
    document = form.document()
    assert not form.faulty
    assert document == {
        "name": "A", "mass_kg": 0.06, "share": 0.05, "parts": [{}, {"length_m": 0.025}], "calm": True,
        "at": "2027-05-15T09:00:00-05:00", "gust": None,
    }  # fmt: skip
    again = Form.filled(FIELDS, document, "si", "America/Chicago").typed
    assert again == {each.at: typed.get(each.at, "").strip() for each in FIELDS}


def test_faults_find_their_fields():
    form = Form.read(FIELDS, {"/name": "A", "/mass_kg": "0.1"}, "si")
    form.refuse([
        Fault("/mass_kg", "0.0001", "more"), Fault("/parts/0/length_m/x", "a", "b"), Fault("/elsewhere", "a", "b"),
        Fault("", "a", "b"),
    ])  # fmt: skip
    assert form.faults["/mass_kg"] == ["found 0.1 g; expected more"]
    assert form.faults["/parts/0/length_m"] == ["found a; expected b"]
    assert form.general == ["elsewhere: found a; expected b", "found a; expected b"]


def test_what_cannot_be_read_keeps_its_first_fault():
    form = Form.read(FIELDS, {"/mass_kg": "x"}, "si")
    form.document()
    form.refuse([Fault("/mass_kg", "nothing", "mass")])
    assert len(form.faults["/mass_kg"]) == 1 and "/name" in form.faults


NO_NUMBERS = ["", "1,5", "1 000", "1_0", "0x1", "nan", "inf", "1e999", "--1", "½", "1e", "٣٫٥", "1" * 400]


@pytest.mark.parametrize("text", NO_NUMBERS)
def test_numbers_that_are_none(text):
    with pytest.raises(ValueError, match="expected a number"):
        read_number(text)


@pytest.mark.parametrize(("text", "value"), [("1.5", 1.5), (" .5 ", 0.5), ("−3", -3.0), ("1e3", 1000.0), ("+2.", 2.0)])
def test_numbers_that_are(text, value):
    assert read_number(text) == value


@pytest.mark.parametrize("text", ["yesterday", "2027-13-01T00:00", "2027-05-15T25:00"])
def test_moments_that_are_none(text):
    with pytest.raises(ValueError, match="expected a date and time"):
        read_moment(text, "UTC")


QUANTITIES: tuple[FormQuantity, ...] = (
    "short_length", "length", "mass", "speed", "wind_speed", "temperature", "pressure",
)  # fmt: skip


@given(st.floats(0.001, 5000.0), st.sampled_from(QUANTITIES), st.sampled_from(["si", "us"]))
def test_units_come_back_as_they_went(value, quantity, units):
    """Within the six digits that a form shows, and an offset's worth for Fahrenheit."""
    assert to_si(float(from_si(value, quantity, units)), quantity, units) == pytest.approx(value, rel=1e-5, abs=2e-5)


@pytest.mark.parametrize(
    ("number", "quantity", "si"),
    [  # exact by definition: inch 25.4 mm, foot 0.3048 m, ounce 28.349523125 g, mile 1609.344 m (1959 agreement)
        (1.0, "short_length", 0.0254),
        (1.0, "length", 0.3048),
        (16.0, "mass", 0.45359237),
        (10.0, "wind_speed", 4.4704),
        (1.0, "speed", 0.3048),
        (32.0, "temperature", 0.0),
        (212.0, "temperature", 100.0),
    ],
)
def test_us_customary(number, quantity, si):
    assert to_si(number, quantity, "us") == pytest.approx(si, rel=1e-11, abs=1e-11)
