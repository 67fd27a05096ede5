"""What every page is held to: the accessibility checker, letters and touch targets large enough, nothing sideways.

The checker is axe-core with the WCAG 2.2 rules of A and AA, and the enhanced contrast of 7:1 besides (1.4.6, AAA).
Touch targets: 44 px (2.5.5, AAA), but for links inside a line of text. Letters of pictures: 16 px on a phone, which is
read in the sun, and 14 px on a laptop; our own limits.
"""

from __future__ import annotations

import os
from typing import Any

from tests.browser.conftest import LAPTOP, PATIENCE_MS, PHONE

GRAVE = ("serious", "critical")
# The light phone has its scripts off: what is looked at there is the page as the service sent it.
LOOKS = (("390", PHONE, "light"), ("390-dark", PHONE, "dark"), ("1280", LAPTOP, "light"))
SCRIPTLESS = "390"
CHECKED = {"resultTypes": ["violations"], "rules": {"color-contrast-enhanced": {"enabled": True}}}
# The dark phone shows the same elements in other colours.
COLOURS = {"resultTypes": ["violations"], "runOnly": {"type": "rule", "values": ["color-contrast-enhanced"]}}

UNFOLD = "() => document.querySelectorAll('details').forEach((each) => { each.open = true; })"
WIDTHS = "() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]"
TOO_WIDE = """() => [...document.querySelectorAll("main *")].filter((each) =>
  each.getBoundingClientRect().right > document.documentElement.clientWidth + 1).slice(0, 4).map((each) =>
  each.outerHTML.slice(0, 120))"""
TOO_SMALL = """() => [...document.querySelectorAll(
  "a[href], button, input:not([type=hidden]), select, textarea, summary")].filter((each) => {
  const box = (each.closest("label") || each).getBoundingClientRect(), style = getComputedStyle(each);
  if (!box.width || box.right < 0 || each.tabIndex < 0 || style.visibility === "hidden") return false;
  const around = each.parentElement.innerText.trim().length > each.innerText.trim().length + 1;
  if (each.tagName === "A" && style.display === "inline" && around) return false;  // a link inside a line of text
  return box.height < 43.5 || box.width < 43.5;
}).slice(0, 4).map((each) => each.outerHTML.slice(0, 120))"""
FINE_PRINT = """() => [...document.querySelectorAll("svg text")].map((each) => {
  const wide = each.ownerSVGElement.getBoundingClientRect().width, units = each.ownerSVGElement.viewBox.baseVal.width;
  return [each.textContent, wide * parseFloat(each.getAttribute("font-size")) / units];
}).filter(([, size]) => size > 0 && size < (innerWidth < 600 ? 15.95 : 13.95)).slice(0, 4)"""

# Of running text; what may be sent back, and what scripts have yet to replace, is left out.
TORN = r"""() => {
  const walk = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT), found = [];
  while (walk.nextNode()) {
    const each = walk.currentNode;
    if (each.parentElement.closest("textarea, option, code, pre, svg, script, [data-job-words]")) continue;
    if (/\d +(m|ft|m\/s|ft\/s|mph|km|kg|g|s|min|cal|%)(?![\w\/·²])/.test(each.data)) found.push(each.data.trim());
  }
  return found.slice(0, 4);
}"""


def open_looks(machine: Any, base: str) -> dict[str, Any]:
    """A context at each width and theme."""
    made = {
        name: machine.new_context(
            base_url=base, viewport=size, color_scheme=scheme, java_script_enabled=name != SCRIPTLESS
        )
        for name, size, scheme in LOOKS
    }
    for each in made.values():
        each.set_default_timeout(PATIENCE_MS)
    return made


def look_at(page: Any, picture: Any, name: str = "") -> None:
    """Take the picture where somebody wants to see it, open what is folded, and hold the page against the above."""
    page.wait_for_load_state()  # a press is over as soon as the next page begins to arrive
    if os.environ.get("RANGEHAND_PICTURES"):
        page.screenshot(path=picture, full_page=True)
    page.evaluate(UNFOLD)
    wide = page.evaluate(WIDTHS)
    assert wide[0] <= wide[1], f"scrolls sideways: {wide[0]} px in {wide[1]} px: {page.evaluate(TOO_WIDE)}"
    fine, small = page.evaluate(FINE_PRINT), page.evaluate(TOO_SMALL)
    assert fine == [], f"letters of a picture are too small: {fine}"
    torn = page.evaluate(TORN)
    assert torn == [], f"a line may end between figure and unit: {torn}"
    assert small == [], f"touch targets are under 44 px: {small}"
    if name == SCRIPTLESS:
        assert page.locator(".with-script:visible").count() == 0, "what needs scripts shows without them"
        return  # the checker is a script; it looks at the phone in the dark and at the laptop in the light
    assert grave(page, COLOURS if name.endswith("-dark") else CHECKED) == []


def grave(page: Any, options: dict[str, Any]) -> list[str]:
    """Serious findings of the checker, with what they are about."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, options=options).response["violations"]
    return [
        f"{each['id']} ({each['impact']}): {node['html'][:150]} {node.get('failureSummary', '')[:300]}"
        for each in found
        if each["impact"] in GRAVE
        for node in each["nodes"][:3]
    ]
