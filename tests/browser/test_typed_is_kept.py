"""The pages that keep what was typed: a form that ran out, a sign-in that ended, somebody who was faster, two areas."""

from __future__ import annotations

import json

from tests.browser.conftest import DAY, expect
from tests.browser.looking import look_at, open_looks
from tests.browser.registering import fill, unfold
from tests.browser.signing_in import sign_in
from tests.served import PASSWORD

SPOIL = "() => document.querySelectorAll('[name=csrf]').forEach((each) => { each.value = 'of yesterday'; })"
AT = f"/days/{DAY}"


def test_a_form_that_ran_out(machine, service, pictures):
    for name, context in open_looks(machine, service.base).items():
        page = context.new_page()
        page.goto(f"{AT}/entries/new")
        fill(page)
        page.evaluate(SPOIL)
        page.get_by_role("button", name="Register").click()
        page.get_by_role("heading", name="This form is out of date").wait_for()
        expect(page.get_by_text("Chimango")).to_be_visible()
        look_at(page, pictures / f"ran-out-{name}.png", name)
        page.get_by_role("button", name="Send it again").click()
        page.get_by_text("This is your private link").wait_for()
        context.close()


def test_a_sign_in_that_ended(machine, service, pictures):
    for name, context in open_looks(machine, service.base).items():
        page = context.new_page()
        sign_in(page, "olga")
        page.goto(f"{AT}/organise/event")
        page.locator('[name="/field/name"]').fill(f"Heron Meadow {name}")
        context.clear_cookies()
        page.get_by_role("button", name="Save", exact=True).click()
        page.get_by_role("heading", name="Sign in first").wait_for()
        look_at(page, pictures / f"sign-in-ended-{name}.png", name)
        page.get_by_label("Login").fill("olga")
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in and look at it again").click()
        page.get_by_role("heading", name="Not sent yet").wait_for()
        look_at(page, pictures / f"not-sent-{name}.png", name)
        page.get_by_role("button", name="Send it again").click()
        page.get_by_text("Saved.").wait_for()
        assert page.locator('[name="/field/name"]').input_value() == f"Heron Meadow {name}"
        context.close()


def test_somebody_was_faster(machine, service, pictures):
    for tenth, (name, context) in enumerate(open_looks(machine, service.base).items()):
        first, second = context.new_page(), context.new_page()
        first.goto(f"/private/{service.link}")
        for page, mass in ((first, "171"), (second, "172")):
            page.goto(f"{AT}/entries/e-01/edit")
            page.locator('[name="/rocket/mass_kg"]').fill(f"{mass}.{tenth}")
        first.get_by_role("button", name="Save").click()
        first.wait_for_url(f"{service.base}{AT}/entries/e-01")
        second.get_by_role("button", name="Save").click()
        second.get_by_text("Somebody else was faster").wait_for()
        expect(second.get_by_text("Mass without the motor, now 171")).to_be_visible()
        look_at(second, pictures / f"faster-{name}.png", name)
        context.close()


def test_two_areas_and_another_pad(machine, service, pictures):
    ring = [list(each) for each in service.day.field.boundary.coordinates[0]]
    shapes = [
        {"type": "Feature", "properties": {"name": each}, "geometry": {"type": "Polygon", "coordinates": [ring]}}
        for each in ("North of the road", "South of the road")
    ]
    file = {"name": "two.geojson", "mimeType": "application/geo+json"}
    file["buffer"] = json.dumps({"type": "FeatureCollection", "features": shapes}).encode()  # type: ignore[assignment]
    for name, context in open_looks(machine, service.base).items():
        page = context.new_page()
        sign_in(page, "olga")
        page.goto(f"{AT}/organise/boundary")
        page.locator("#file").set_input_files(file)
        page.get_by_role("button", name="Save", exact=True).click()
        page.get_by_label("Which of the areas").select_option("South of the road")
        look_at(page, pictures / f"areas-{name}.png", name)
        page.goto(f"{AT}/organise/pads")
        page.get_by_role("button", name="Another pad").click()
        page.locator("#last[open]").wait_for()
        expect(page.locator("#last input").first).to_be_visible()
        look_at(page, pictures / f"another-pad-{name}.png", name)
        page.goto(f"{AT}/organise/rules")
        unfold(page, "Rule local-wind")
        assert page.locator('[name="/local_rules/0/source/clause"]').input_value() == "Heron Meadow field rules, item 4"
        context.close()

