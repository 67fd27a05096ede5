"""Motors on offer from the organiser's pages: one by one, as a table, and never fewer than are reserved."""

from __future__ import annotations

import csv
import html
import io

import pytest

from service.models.day import LaunchDay
from service.planning.motor_csv import COLUMNS, read_motors, write_motors
from tests.builders import small_day
from tests.web.conftest import DAY
from tests.web.test_organiser import typed

AT = f"/days/{DAY}/motors"


@pytest.fixture
def olga(people, new_browser):
    return new_browser("olga")


def table(browser) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(browser.get(f"{AT}.csv").text)))


def bring(browser, rows: list[dict[str, str]]):
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS)
    writer.writeheader()
    writer.writerows(rows)
    page = browser.get(AT).text
    sent = {"csrf": browser.csrf("/about"), "based_on": typed(page)["based_on"]}
    sent["file"] = (io.BytesIO(out.getvalue().encode()), "motors.csv")
    return browser.client.post(AT, data=sent, content_type="multipart/form-data")


def test_the_table_says_what_the_document_says(store, olga):
    """Its cells against the document itself, millimetres and grams by hand."""
    rows = table(olga)
    motors = small_day()["motors"]
    assert [row["id"] for row in rows] == [each["id"] for each in motors]
    for row, motor in zip(rows, motors, strict=True):
        assert float(row["diameter_mm"]) == pytest.approx(motor["diameter_m"] * 1000)
        assert float(row["loaded_mass_g"]) == pytest.approx(motor["loaded_mass_kg"] * 1000)
        pairs = [[float(x) for x in pair.split(":")] for pair in row["thrust_curve"].split(";")]
        assert pairs == motor["thrust_curve"]


def test_out_and_in_again_changes_nothing():
    motors = LaunchDay.model_validate(small_day()).motors
    assert tuple(read_motors(write_motors(motors))) == motors


def test_a_table_changes_stock_and_adds_all_or_none(store, olga):
    rows = table(olga)
    another = rows[0] | {"id": "new-one", "stock": "7", "price": "12.50", "currency": "EUR", "flights": "2"}
    rows[0]["stock"] = "40"
    assert bring(olga, [*rows, another]).status_code == 303
    kept = {each.motor.id: each.motor for each in store.motors.all(DAY)}
    assert kept[rows[0]["id"]].stock == 40 and kept["new-one"].price.amount == "12.50"
    answer = bring(olga, [rows[0] | {"stock": "41"}, another | {"diameter_mm": "wide", "delays": "soon"}])
    assert answer.status_code == 422
    assert "Line 3, diameter_mm" in answer.text and "Line 3, delays" in answer.text
    assert store.motors.get(DAY, rows[0]["id"]).motor.stock == 40


def test_a_table_made_from_what_somebody_has_changed_since_is_told(store, olga):
    rows = table(olga)
    page = olga.get(AT).text
    offer = store.motors.all(DAY)[0]
    store.motors.save(
        DAY, [offer.motor.model_copy(update={"stock": 99})], "root", based_on={offer.motor.id: offer.revision}
    )
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS)
    writer.writeheader()
    writer.writerows(rows)
    sent = {"csrf": olga.csrf("/about"), "based_on": typed(page)["based_on"]}
    sent["file"] = (io.BytesIO(out.getvalue().encode()), "motors.csv")
    answer = olga.client.post(AT, data=sent, content_type="multipart/form-data")
    assert answer.status_code == 409 and "Somebody else was faster" in answer.text
    assert store.motors.get(DAY, offer.motor.id).motor.stock == 99


@pytest.mark.parametrize("text", ["", "id,maker\n1,2\n", "\x00", "a" * 5000])
def test_what_is_no_table_is_refused(olga, text):
    sent = {"csrf": olga.csrf("/about"), "based_on": "{}", "file": (io.BytesIO(text.encode()), "x.csv")}
    answer = olga.client.post(AT, data=sent, content_type="multipart/form-data")
    assert answer.status_code == 422 and "expected" in answer.text


HEADER = ",".join(COLUMNS)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (HEADER.replace(",", ";"), "Line 1: found cells parted by semicolons; expected commas between them"),
        (HEADER.replace(",", "\t"), "Line 1: found cells parted by tabs; expected commas"),
        (HEADER.replace(",stock", ""), "Line 1: found a header without stock; expected the header id,maker,"),
        (HEADER.replace("maker", "make"), "found a header without maker and with make, which is not known"),
        (HEADER.replace("id,maker", "maker,id"), "found the columns in another order"),
        ("c6,Alfar,C6" + "," * 14, "with no header above it; expected the header"),
    ],
)
def test_why_a_table_is_refused(olga, text, says):
    sent = {"csrf": olga.csrf("/about"), "based_on": "{}", "file": (io.BytesIO(text.encode()), "x.csv")}
    answer = olga.client.post(AT, data=sent, content_type="multipart/form-data")
    assert answer.status_code == 422 and says in html.unescape(answer.text)


def test_a_motor_is_added_changed_and_taken_off(store, olga):
    sent = typed(olga.get(f"{AT}/new").text) | {
        "/id": "ember-c6", "/maker": "Ember", "/designation": "C6", "/diameter_m": "18", "/length_m": "70",
        "/loaded_mass_kg": "24", "/propellant_mass_kg": "11", "/delays": "3;5;7", "/stock": "12",
        "/thrust_curve": "time_s,thrust_n\n0,0\n0.2,10\n0.4,5\n1.8,5\n1.9,0",
    }  # fmt: skip
    wrong = olga.client.post(f"{AT}/new", data=sent | {"/delays": "x", "/thrust_curve": "0,0", "/diameter_m": "-1"})
    assert wrong.status_code == 422
    for name in ("delays", "thrust_curve", "diameter_m"):
        assert f'id="f-{name}-fault"' in wrong.text
    assert typed(wrong.text)["/delays"] == "x"
    assert olga.client.post(f"{AT}/new", data=sent).status_code == 303
    assert store.motors.get(DAY, "ember-c6").motor.diameter_m == 0.018
    again = olga.client.post(f"{AT}/new", data=sent)
    assert again.status_code == 422 and "already on offer" in again.text
    change = typed(olga.get(f"{AT}/ember-c6/edit").text) | {"/stock": "3"}
    assert olga.client.post(f"{AT}/ember-c6/edit", data=change).status_code == 303
    late = olga.client.post(f"{AT}/ember-c6/edit", data=change | {"/stock": "4"})
    assert late.status_code == 409 and store.motors.get(DAY, "ember-c6").motor.stock == 3
    gone = {"csrf": change["csrf"], "based_on": "2"}
    assert olga.client.post(f"{AT}/ember-c6/remove", data=gone).status_code == 303
    assert "ember-c6" not in {each.motor.id for each in store.motors.all(DAY)}


def test_a_motor_that_flies_is_not_taken_off_and_stock_stays_above_what_is_reserved(store, olga):
    offer = next(each for each in store.motors.all(DAY) if each.reserved)
    gone = {"csrf": olga.csrf("/about"), "based_on": str(offer.revision)}
    refused = olga.client.post(f"{AT}/{offer.motor.id}/remove", data=gone)
    assert refused.status_code == 422 and "no entry with this motor" in refused.text
    change = typed(olga.get(f"{AT}/{offer.motor.id}/edit").text) | {"/stock": "0"}
    answer = olga.client.post(f"{AT}/{offer.motor.id}/edit", data=change)
    assert answer.status_code == 422 and "reserved" in answer.text and 'id="f-stock-fault"' in answer.text
