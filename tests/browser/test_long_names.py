"""Names as long as they may be, without a space to break at: every page stays as wide as the screen."""

from __future__ import annotations

import os

import pytest

from tests.browser.conftest import DAY, LAPTOP, PHONE
from tests.browser.looking import TOO_WIDE, UNFOLD, WIDTHS
from tests.browser.signing_in import sign_in

LONG = "Quetzalcoatlus" * 8 + "northrop"  # 120 letters, as many as a name may have
AT = f"/days/{DAY}"
PAGES = {
    "": (AT, f"{AT}/entries/e-01"),
    "olga": (
        f"{AT}/desk", f"{AT}/people", f"{AT}/entries/e-01", f"{AT}/entries/e-01/edit", f"{AT}/entries/e-01/erase",
        f"{AT}/entries/e-01/aim", f"{AT}/entries/e-01/advice", f"{AT}/pads", f"{AT}/checklist", f"{AT}/plan",
        f"{AT}/log", f"{AT}/log/new?entry=e-01", f"{AT}/learning", f"{AT}/sheets", f"{AT}/organise",
        f"{AT}/organise/pads", f"{AT}/organise/zones", f"{AT}/motors", f"{AT}/weather", f"{AT}/sizing", "/",
        f"{AT}/entries/e-01/ruling", f"{AT}/replace", "/days/new", "/people", "/account",
    ),
}  # fmt: skip
NAMED = {
    "event": ("/name", "/field/name"), "pads": ("/field/pads/5/name",), "zones": ("/field/zones/0/name",),
}  # fmt: skip


@pytest.fixture(scope="module")
def named(machine, service):
    """Everything of the day that has a name has a long one."""
    context = machine.new_context(base_url=service.base, viewport=LAPTOP)
    page = context.new_page()
    page.goto(f"/private/{service.link}")
    page.goto(f"{AT}/entries/e-01/edit")
    for at in ("/rocket/name", "/flyer/name"):
        page.locator(f'[name="{at}"]').fill(LONG)
    page.get_by_role("button", name="Save").click()
    page.wait_for_url(f"{service.base}{AT}/entries/e-01")
    context.close()
    context = machine.new_context(base_url=service.base, viewport=LAPTOP)
    page = context.new_page()
    sign_in(page, "olga")
    for part, fields in NAMED.items():
        page.goto(f"{AT}/organise/{part}")
        page.evaluate(UNFOLD)
        for at in fields:
            page.locator(f'[name="{at}"]').fill(LONG)
        page.get_by_role("button", name="Save", exact=True).click()
        page.wait_for_url("**/organise/*saved=1")
    page.goto(f"{AT}/desk")
    page.locator("[data-live-words]").wait_for(state="detached", timeout=90_000)
    yield {"olga": context, "": machine.new_context(base_url=service.base)}
    context.close()


@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["390", "1280"])
def test_long_names(named, size, pictures):
    wide = []
    for who, paths in PAGES.items():
        page = named[who].new_page()
        page.set_viewport_size(size)
        for path in paths:
            if page.goto(path).status != 200:
                continue
            if os.environ.get("RANGEHAND_PICTURES"):
                page.screenshot(path=pictures / f"long-{path.replace('/', '_')}-{size['width']}.png", full_page=True)
            page.evaluate(UNFOLD)
            shown = page.evaluate(WIDTHS)
            if shown[0] > shown[1]:
                wide.append((path, shown, page.evaluate(TOO_WIDE)))
        page.close()
    assert not wide, "\n".join(map(str, wide))
