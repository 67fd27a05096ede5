"""Programs may do what pages do: each form of a page has a named counterpart in the API, with the same guard."""

from __future__ import annotations

import pytest

from service.store import Store
from service.web import Config, create_app
from service.web.access import table
from tests.web.conftest import CHEAP, PLENTY

DAY = "/days/<day_id>"
ENTRY = f"{DAY}/entries/<entry_id>"

# each page that takes a form, and the API's routes that do the same
COUNTERPARTS: dict[str, tuple[str, ...]] = {
    "/account/password": ("PUT /account/password",),
    "/account/tokens": ("POST /account/tokens",),
    "/account/tokens/<token_id>/revoke": ("DELETE /account/tokens/<token_id>",),
    f"{DAY}/codes/confirm": (f"PUT {DAY}/codes/<code_id>/comparison", f"DELETE {DAY}/codes/<code_id>/comparison"),
    f"{DAY}/checklist": (f"PUT {DAY}/attestations/<rule_id>", f"DELETE {DAY}/attestations/<rule_id>"),
    f"{DAY}/entries": (f"POST {DAY}/entries", f"POST {DAY}/brought-entries"),
    f"{ENTRY}/edit": (f"PUT {ENTRY}", f"PUT {ENTRY}/brought"),
    f"{ENTRY}/withdraw": (f"DELETE {ENTRY}",),
    f"{ENTRY}/links": (f"POST {ENTRY}/links",),
    f"{ENTRY}/links/end": (f"DELETE {ENTRY}/links",),
    f"{ENTRY}/erase": (f"POST {ENTRY}/erase",),
    f"{ENTRY}/ruling": (f"PUT {ENTRY}/ruling",),
    f"{ENTRY}/ticks": (f"PUT {ENTRY}/attestations/<rule_id>", f"DELETE {ENTRY}/attestations/<rule_id>"),
    f"{ENTRY}/advice": (f"POST {ENTRY}/advice", f"POST {ENTRY}/fixes"),
    f"{ENTRY}/advice/motor": (f"PUT {ENTRY}",),
    f"{ENTRY}/fixes/<int:number>/apply": (f"POST {ENTRY}/fixes/<int:number>/apply",),
    f"{ENTRY}/fixes/together/apply": (f"POST {ENTRY}/fixes/together/apply",),
    f"{ENTRY}/aim": (f"POST {ENTRY}/aim",),
    f"{ENTRY}/aim/apply": (f"POST {ENTRY}/aim/apply",),
    f"{ENTRY}/jobs/<job_id>/cancel": (f"DELETE {ENTRY}/jobs/<job_id>",),
    f"{DAY}/jobs/<job_id>/cancel": (f"DELETE {DAY}/jobs/<job_id>",),
    f"{DAY}/learning": (f"POST {DAY}/learning",),
    f"{DAY}/learning/accept": (f"POST {DAY}/learning/accept",),
    f"{DAY}/learning/log": (f"POST {DAY}/learning",),
    f"{DAY}/learning/take-back": (f"POST {DAY}/learning/take-back",),
    f"{DAY}/log/new": (f"POST {DAY}/flights",),
    f"{DAY}/log/<int:number>": (f"PUT {DAY}/flights/<int:number>",),
    f"{DAY}/log/<int:number>/mistake": (f"PUT {DAY}/flights/<int:number>",),
    f"{DAY}/motors": (f"POST {DAY}/motor-table",),
    f"{DAY}/motors/new": (f"PUT {DAY}/motors/<motor_id>",),
    f"{DAY}/motors/<motor_id>/edit": (f"PUT {DAY}/motors/<motor_id>",),
    f"{DAY}/motors/<motor_id>/remove": (f"DELETE {DAY}/motors/<motor_id>",),
    f"{DAY}/organise/<part>": (f"PUT {DAY}", f"PUT {DAY}/boundary", f"PUT {DAY}/date"),
    f"{DAY}/pads": (f"PUT {DAY}/line-up",),
    f"{DAY}/pads/flown": (f"POST {DAY}/line-up/flown",),
    f"{DAY}/pads/other": (f"PUT {ENTRY}/pad",),
    f"{DAY}/people/new": (f"POST {DAY}/people",),
    f"{DAY}/people/roles": (f"PUT {DAY}/people/<login>/roles/<role>",),
    f"{DAY}/people/roles/take": (f"DELETE {DAY}/people/<login>/roles/<role>",),
    f"{DAY}/plan": (f"POST {DAY}/plan",),
    f"{DAY}/replace": (f"PUT {DAY}/document",),
    f"{DAY}/sheets": (f"POST {DAY}/sheets",),
    f"{DAY}/sheets/draft": (f"POST {DAY}/sheets/draft",),
    f"{DAY}/sizing": (f"POST {DAY}/sizing",),
    f"{DAY}/weather/reading": (f"POST {DAY}/conditions/reading", f"PUT {DAY}/conditions"),
    f"{DAY}/weather/metar": (f"POST {DAY}/conditions/metar",),
    f"{DAY}/weather/fetch": (f"POST {DAY}/conditions/fetched-metar",),
    f"{DAY}/weather/aloft": (f"POST {DAY}/conditions/aloft",),
    f"{DAY}/weather/forecast": (f"PUT {DAY}/forecast", f"PUT {DAY}/forecast/csv"),
    f"{DAY}/weather/again": (f"POST {DAY}/conditions/again",),
    f"{DAY}/weather/from-forecast": (f"POST {DAY}/conditions/from-forecast",),
    "/days/import": ("POST /days",),
    "/days/new": ("POST /days",),
    "/people/<person_id>/first-password": ("POST /people/<person_id>/first-password",),
    "/people/<person_id>/active": ("PUT /people/<person_id>/active",),
    "/people/<person_id>/tokens/<token_id>/end": ("DELETE /people/<person_id>/tokens/<token_id>",),
}
WITHOUT = {  # and why
    "/sign-in": "a program's token takes its place",
    "/sign-out": "a token is ended instead",
    "/units": "programs are answered in SI",
    f"{DAY}/outline": "a drawing for the script beside a form",
}
NOT_THE_SAME_GUARD = {  # and why
    f"{ENTRY}/advice/motor": "an officer advises on the page; by the API the entry is its flyer's and the organiser's",
}
# what pages show, and where programs read it
READ: dict[str, tuple[str, ...]] = {
    "/health": ("GET /health",),
    "/about": ("GET /codes",),
    "/certificate.pem": ("GET /certificate",),
    "/": ("GET /days",),
    DAY: (f"GET {DAY}", f"GET {DAY}/board"),
    f"{DAY}/progress": (f"GET {DAY}/progress",),
    f"{DAY}/desk": (f"GET {DAY}/entries", f"GET {DAY}/changes"),
    f"{DAY}/document.json": (f"GET {DAY}/document",),
    f"{DAY}/log": (f"GET {DAY}/flights",),
    f"{DAY}/motors.csv": (f"GET {DAY}/motor-table",),
    f"{DAY}/pads": (f"GET {DAY}/line-up",),
    f"{DAY}/people": (f"GET {DAY}/people", "GET /people"),
    f"{DAY}/sheets": (f"GET {DAY}/sheets", f"GET {DAY}/sheets/<sheet_id>/signatures"),
    f"{DAY}/sheets/draft.pdf": (f"GET {DAY}/sheets/draft",),
    f"{DAY}/sheets/<sheet_id>.pdf": (f"GET {DAY}/sheets/<sheet_id>",),
    f"{DAY}/weather": (f"GET {DAY}/conditions", f"GET {DAY}/conditions/history"),
    ENTRY: (f"GET {ENTRY}", f"GET {ENTRY}/assessment"),
    f"{ENTRY}/advice": (f"GET {ENTRY}/advice", f"GET {ENTRY}/fixes", f"GET {ENTRY}/advice/picture"),
    f"{ENTRY}/aim": (f"GET {ENTRY}/aim", f"GET {ENTRY}/aim/picture"),
    f"{DAY}/plan": (f"GET {DAY}/plan", f"GET {DAY}/plan/picture"),
    f"{DAY}/learning": (f"GET {DAY}/learning", f"GET {DAY}/learning/picture"),
    f"{DAY}/sizing": (f"GET {DAY}/sizing", f"GET {DAY}/sizing/picture"),
    f"{DAY}/sizing.pdf": (f"GET {DAY}/sizing/report",),
    f"{ENTRY}/ruling": (f"GET {ENTRY}/ruling", f"GET {ENTRY}/rulings"),
    "/account": ("GET /account", "GET /account/tokens"),
}


@pytest.fixture(scope="module")
def routes() -> dict[str, tuple[str, ...]]:
    with Store.in_memory() as store:
        app = create_app(Config(rates=PLENTY, background=False, password_cost=CHEAP), store)
        return {f"{method} {rule}": declared.who for method, rule, declared in table(app)}


def test_each_page_that_takes_a_form_has_a_counterpart(routes):
    forms = {name[5:] for name in routes if name.startswith("POST ") and not name.startswith("POST /api/")}
    named = {*COUNTERPARTS, *WITHOUT}
    assert forms - named == set(), "name what programs use instead"
    assert named - forms == set(), "these pages are gone"


@pytest.mark.parametrize("page", COUNTERPARTS)
def test_its_counterpart_is_there_with_the_same_guard(routes, page):
    for each in COUNTERPARTS[page]:
        method, _, path = each.partition(" ")
        name = f"{method} /api/v1{path}"
        assert name in routes
        if page not in NOT_THE_SAME_GUARD:
            assert set(routes[name]) == set(routes[f"POST {page}"]), f"{name} is for others than the page"


@pytest.mark.parametrize("page", READ)
def test_what_a_page_shows_can_be_read(routes, page):
    assert f"GET {page}" in routes
    for each in READ[page]:
        assert each.replace("GET ", "GET /api/v1", 1) in routes
