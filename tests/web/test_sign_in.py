"""Signing in, sessions, forms from elsewhere, and how often one may try."""

from __future__ import annotations

from datetime import timedelta

import pytest

from service.web import Config, Rates, create_app
from service.web.config import Rate
from service.web.limits import Buckets
from service.web.passwords import Passwords
from tests.web.conftest import CHEAP, PASSWORD, Browser


def test_sign_in_and_out(browser, people, day):
    assert browser.sign_in("RITA").status_code == 303, "upper case or lower"
    assert "RSO here" in browser.get("/").text
    browser.post("/sign-out")
    assert "RSO here" not in browser.get("/").text


def test_a_wrong_password_keeps_the_login_and_tells_nothing_more(browser, people):
    known, unknown = browser.sign_in("rita", "wrong"), browser.sign_in("nobody-here", "wrong")
    assert known.status_code == unknown.status_code == 403
    assert 'value="rita"' in known.text and "do not belong together" in known.text
    assert known.text.replace("rita", "") == unknown.text.replace("nobody-here", "")
    assert "wrong" not in known.text, "passwords are not sent back"


def test_going_on_to_where_one_wanted(browser, people, day):
    asked = browser.get(f"/days/{day}/entries/n1")
    assert asked.status_code == 303 and asked.headers["Location"].startswith("/sign-in?next=")
    answer = browser.post("/sign-in", {"/login": "rita", "/password": PASSWORD, "next": f"/days/{day}/entries/n1"})
    assert answer.headers["Location"] == f"/days/{day}/entries/n1"


def test_cookie_is_not_for_scripts_nor_other_sites(browser, people):
    cookie = browser.sign_in("rita").headers["Set-Cookie"]
    assert "HttpOnly" in cookie and "SameSite=Lax" in cookie


@pytest.mark.parametrize("address", ["/static/page.css", "/days/{day}/progress", "/days/{day}"])
def test_only_what_changes_the_session_sends_it(browser, people, day, address):
    """An answer that was on its way while somebody signed out would sign them in again."""
    browser.sign_in("rita")
    browser.get("/")
    answer = browser.get(address.format(day=day))
    assert answer.status_code == 200 and "Set-Cookie" not in answer.headers
    assert "rangehand=" in browser.post("/sign-out").headers["Set-Cookie"]


def test_a_form_from_elsewhere_is_refused(browser, people, day):
    browser.sign_in("rita")
    for data in ({}, {"csrf": ""}, {"csrf": "guessed"}, {"csrf": "é"}):
        answer = browser.client.post("/account/tokens", data={"/label": "mine", **data})
        assert answer.status_code == 400 and "made before you signed in" in answer.text


def test_a_sign_in_ends_after_a_day(new_browser, people, clock):
    browser = new_browser("rita")
    assert browser.get("/account").status_code == 200
    clock.now += timedelta(hours=12, minutes=1)
    assert browser.get("/account").status_code == 303


def test_a_new_password_ends_other_sessions(new_browser, people):
    here, there = new_browser("rita"), new_browser("rita")
    answer = here.post("/account/password", {"/old": PASSWORD, "/new": "eight plain herons"})
    assert answer.status_code == 303 and here.get("/account").status_code == 200
    assert there.get("/account").status_code == 303
    assert here.post("/account/password", {"/old": "eight plain herons", "/new": "short"}).status_code == 422


def test_a_token_is_told_once_and_ends(new_browser, people, day, store):
    browser = new_browser("rita")
    page = browser.post("/account/tokens", {"/label": "weather mast"}).text
    token = page.split('class="secret">')[1].split("<")[0]
    asked = {"headers": {"Authorization": f"Bearer {token}"}}
    assert browser.client.get(f"/api/v1/days/{day}/entries", **asked).status_code == 200
    assert token not in browser.get("/account").text
    (kept,) = store.people.tokens(store.people.by_login("rita").id)
    browser.post(f"/account/tokens/{kept.id}/revoke")
    assert browser.client.get(f"/api/v1/days/{day}/entries", **asked).status_code == 401


@pytest.fixture
def strict(store, clock, people):
    """An app that lets nobody try often."""
    rates = Rates(
        read=Rate(20, 0.001), write=Rate(1e6, 1e6), sign_in_as=Rate(3, 0.001), sign_in_from=Rate(5, 0.001),
        sign_in_account=Rate(8, 0.001),
    )  # fmt: skip
    app = create_app(Config(rates=rates, background=False, clock=clock, password_cost=CHEAP), store)
    yield Browser(app)
    app.extensions["reassessor"].close()


def test_guessing_is_slowed_by_account_and_by_address(strict):
    secret = strict.csrf()

    def guess(login: str, password: str = "wrong"):
        return strict.client.post("/sign-in", data={"csrf": secret, "/login": login, "/password": password})

    assert [guess("rita").status_code for _ in range(4)] == [403, 403, 403, 429]
    assert guess("rita", PASSWORD).status_code == 429, "also with the right password"
    late = guess("olga")
    assert late.status_code == 429 and int(late.headers["Retry-After"]) >= 1
    assert "Too many wrong passwords; try again in" in late.text


def test_right_passwords_are_not_counted(strict):
    secret = strict.csrf()
    for _ in range(8):
        strict.client.post("/sign-in", data={"csrf": secret, "/login": "rita", "/password": PASSWORD})
        secret = strict.csrf()
    assert strict.get("/account").status_code == 200


def test_asking_too_often_is_answered_in_the_same_shape(strict):
    answers = [strict.client.get("/api/v1/days") for _ in range(22)]
    assert answers[0].status_code == 200
    last = answers[-1]
    assert last.status_code == 429 and last.content_type == "application/problem+json"
    assert last.json["status"] == 429 and int(last.headers["Retry-After"]) >= 1


def test_buckets_refill():
    now = [0.0]
    buckets = Buckets(lambda: now[0])
    rate = Rate(2, 0.5)
    assert [buckets.take("a", rate) for _ in range(3)] == [0.0, 0.0, 2.0]  # one call takes 1 / 0.5 = 2 s to come back
    assert buckets.take("b", rate) == 0.0
    now[0] = 2.0
    assert buckets.take("a", rate) == 0.0 and buckets.take("a", rate) > 0.0


def test_hashes_are_argon2id(people, store):
    hashed = store.people.by_login("rita").password_hash
    assert hashed.startswith("$argon2id$") and PASSWORD not in hashed
    assert Passwords(*CHEAP).fits(PASSWORD, hashed) and not Passwords(*CHEAP).fits(PASSWORD + " ", hashed)
    assert Config().password_cost == (3, 65536)  # RFC 9106, section 4, second recommended option: t=3, m=64 MiB
