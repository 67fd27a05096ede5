"""A correction of the drag: read at the door, flown, part of the assessment's id, printed on the sheet.

That more drag flies lower, and that a factor of 1 changes no bit, is plain mechanics; the factor itself is held
against the tables that are flown.
"""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest

from service.models.day import LaunchDay
from service.planning.check import faults, read_day
from service.planning.flight_inputs import flight_inputs
from service.planning.identity import assessment_id, document_hash
from service.planning.sheet import range_sheet
from service.planning.sheet_corrections import correction_note
from tests.builders import as_bytes
from tests.planning.quick import assessed, put, quick_day, quick_document


def correction(rocket=None, factor=1.2, **fields):
    return {
        "rocket": rocket, "drag_factor": factor, "flights": 9, "evidence": "9 flights went 4 % lower.",
        "by": "Organiser One", "at": "2028-07-08T20:00:00Z", **fields,
    }  # fmt: skip


def corrected(*items):
    return put("/corrections", list(items))


def names(day: LaunchDay) -> list[str]:
    return [entry.rocket.name for entry in day.entries]


def drags(day: LaunchDay, number: int) -> np.ndarray:
    aero = flight_inputs(day, day.entries[number], day.conditions).setup.aerodynamics
    return np.concatenate([aero.axial_coasting, aero.axial_burning])


def ids(day: LaunchDay) -> list[str]:
    return [assessment_id(day, entry, day.conditions, 1, False) for entry in day.entries]


def test_a_document_without_corrections_stays_valid():
    assert quick_day().corrections == ()


def test_the_drag_is_multiplied_for_that_rocket_only():
    plain = quick_day()
    one = quick_day(corrected(correction(names(plain)[0], 1.2)))
    np.testing.assert_allclose(drags(one, 0), 1.2 * drags(plain, 0), rtol=1e-14)
    np.testing.assert_array_equal(drags(one, 1), drags(plain, 1))


def test_a_rocket_s_own_goes_before_the_one_for_all():
    plain = quick_day()
    both = quick_day(corrected(correction(None, 0.9), correction(names(plain)[1], 1.3)))
    np.testing.assert_allclose(drags(both, 0), 0.9 * drags(plain, 0), rtol=1e-14)
    np.testing.assert_allclose(drags(both, 1), 1.3 * drags(plain, 1), rtol=1e-14)  # not 0.9 times 1.3


def test_it_flies_lower_and_the_assessment_tells_why():
    plain, more = assessed("n1"), assessed("n1", corrected(correction(None, 1.5)))
    assert more.estimate.apogee_m.nominal < plain.estimate.apogee_m.nominal
    assert plain.correction is None and more.correction.drag_factor == 1.5 and more.id != plain.id
    same = assessed("n1", corrected(correction(None, 1.0)))
    assert same.estimate == plain.estimate and same.id != plain.id  # said to be corrected, though by nothing


def test_the_id_moves_only_where_the_correction_bears():
    plain = quick_day()
    one = quick_day(corrected(correction(names(plain)[0])))
    assert [a == b for a, b in zip(ids(plain), ids(one), strict=True)] == [False, True, True]
    stranger = quick_day(corrected(correction("A rocket of another day")))
    assert ids(stranger) == ids(plain)


@pytest.mark.parametrize(
    ("items", "where", "said"),
    [
        ([correction(factor=2.01)], "/corrections/0/drag_factor", "from 0.5 to 2"),
        ([correction(factor=0.49)], "/corrections/0/drag_factor", "from 0.5 to 2"),
        ([correction(factor="1.1")], "/corrections/0/drag_factor", "a number"),
        ([correction(flights=0)], "/corrections/0/flights", "from 1 to"),
        ([correction(evidence=" ")], "/corrections/0/evidence", "printable"),
        ([correction(at="yesterday")], "/corrections/0/at", "RFC 3339"),
        ([correction(thumb=1)], "/corrections/0/thumb", "thumb"),
        ([correction("A"), correction("A")], "/corrections/1/rocket", "one correction a rocket"),
        ([correction(), correction()], "/corrections/1/rocket", "every rocket again"),
    ],
)
def test_what_is_refused_at_the_door(items, where, said):
    found = faults(as_bytes(quick_document(corrected(*items))))
    assert [fault.pointer for fault in found] == [where]
    assert said in f"{found[0].found} {found[0].expected} {found[0].pointer}"


def test_the_sheet_says_it_on_the_page_and_in_the_reckoning():
    from service.planning.assess import assess_day

    document = quick_document()
    rocket = document["entries"][0]["rocket"]["name"]
    corrected(correction(rocket, 1.2))(document)
    data = as_bytes(document)
    day = read_day(data)
    result = assess_day(day, document_hash(data))
    sheet = range_sheet(day, result, made_at=datetime(2028, 7, 9, tzinfo=UTC), age_min=None)
    line = "Drag taken times 1.20 after 9 flights, accepted by Organiser One on "
    pages = {page.rocket: " ".join(map(str, page.pad_settings.notes)) for page in sheet.entries}
    assert line in pages.pop(rocket) and not any("Drag taken" in notes for notes in pages.values())
    ((whose, what),) = sheet.corrections
    assert whose == rocket and what.startswith(line) and what.endswith("9 flights went 4 % lower.")


def test_the_note_counts_and_dates_in_the_field_s_own_day():
    day = quick_day(corrected(correction(None, 1.05, flights=1, at="2028-07-08T23:30:00Z")))
    (note,) = correction_note(day.corrections[0], "Asia/Tokyo")
    assert note == "Drag taken times 1.05 after 1 flight, accepted by Organiser One on 2028-07-09."
    assert correction_note(None, "UTC") == ()
