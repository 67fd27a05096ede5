"""Pages answer, say what they should, and keep to the rules of the house."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import DAY

PUBLIC = ["/", f"/days/{DAY}", "/about", "/health", "/problems", "/sign-in"]


@pytest.mark.parametrize("path", PUBLIC)
def test_public_pages_open(browser, day, people, path):
    answer = browser.get(path)
    assert answer.status_code == 200, answer.text
    page = answer.text
    assert "<script>" not in page and not re.search(r"\son[a-z]+=", page) and not re.search(r"<[^>]+\sstyle=", page)
    assert 'lang="en"' in page and 'class="skip"' in page
    assert not re.search(r"(src|href)=\"(https?:)?//", page), "everything is local"


def test_the_day_says_what_a_flyer_asks(browser, day, assess):
    assess()
    page = browser.get(f"/days/{day}").text
    for words in ("Register a flight", "Codes in force", "Conditions", "min old", "What may fly", "CLEAR", "Hornero"):
        assert words in page
    assert "Flyer 1" not in page, "names of flyers are not public"


def test_old_conditions_are_said_loudly(browser, day, clock):
    clock.now = clock.now.replace(hour=20)
    assert "too old to rule by" in browser.get(f"/days/{day}").text


def test_entry_page_shows_where_it_stands(new_browser, people, day, assess):
    assess()
    page = new_browser("rita").get(f"/days/{day}/entries/n1").text
    assert "CLEAR" in page and "<svg" in page and "Not known" in page and "Flyer 1" in page


def test_an_entry_not_yet_assessed_says_so(new_browser, people, day):
    page = new_browser("rita").get(f"/days/{day}/entries/n1").text
    assert "Being assessed" in page and "CLEAR" not in page


def test_units_are_kept_by_cookie_and_account(new_browser, people, day, store):
    browser = new_browser()
    assert " ft" not in re.sub(r"<svg.*?</svg>", "", browser.get(f"/days/{day}").text, flags=re.S)
    assert browser.post("/units", {"units": "us", "next": f"/days/{day}"}).status_code == 303
    assert " ft" in browser.get(f"/days/{day}").text
    signed = new_browser("rita")
    signed.post("/units", {"units": "us"})
    assert store.people.by_login("rita").units == "us"


def test_where_to_go_on_is_never_another_service(browser):
    for away in ("//elsewhere.example/", "https://elsewhere.example/", "/\\elsewhere.example"):
        answer = browser.post("/units", {"units": "us", "next": away})
        assert answer.headers["Location"] == "/"


def test_what_is_personal_is_not_kept(browser, new_browser, people, day):
    assert browser.get("/").headers["Cache-Control"] == "private, no-cache"
    assert new_browser("rita").get("/").headers["Cache-Control"] == "no-store"
    assert "max-age" in browser.get("/static/page.css").headers["Cache-Control"]


def test_a_minor_is_shown_with_the_adult(new_browser, people, day, assess):
    assess()
    page = new_browser("rita").get(f"/days/{day}/entries/n1").text
    assert "under 18, with Adult 1" in page


def test_headers(browser):
    headers = browser.get("/").headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy and "unsafe" not in policy and "frame-ancestors 'none'" in policy
    assert headers["X-Content-Type-Options"] == "nosniff" and headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == "same-origin"


@pytest.mark.parametrize(("path", "status"), [("/nowhere", 404), ("/days/none", 404), ("/private/wrong", 404)])
def test_refusals_are_pages_for_people_and_problems_for_programs(browser, path, status):
    page = browser.get(path)
    assert page.status_code == status and "text/html" in page.content_type and "<h1>" in page.text
    problem = browser.get(path, headers={"Accept": "application/json"})
    assert problem.status_code == status and problem.content_type == "application/problem+json"
    assert problem.json["status"] == status and problem.json["type"].startswith("/problems#")


def test_a_mistake_of_ours_tells_nothing_of_the_inside(app, browser, monkeypatch):
    monkeypatch.setattr(app.extensions["store"].days, "all", lambda: 1 / 0)
    answer = browser.get("/")
    assert answer.status_code == 500 and "ZeroDivision" not in answer.text and "its log calls it" in answer.text
