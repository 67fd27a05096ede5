"""A password that somebody else made opens nothing but the page where it is changed, and no program's token."""

from __future__ import annotations

import re

import pytest
from flask import Flask

from service.web.access import table
from service.web.passwords import Passwords
from tests.web.conftest import CHEAP, DAY

FIRST, OWN = "made by somebody", "seven grey plovers"
OPEN = {"/account", "/account/password", "/sign-in", "/sign-out", "/health", "/theme.css", "/units",
        "/static/<path:filename>"}  # fmt: skip


@pytest.fixture
def ruth(store, day) -> str:
    """An organiser of every day who never signed in, with a token that a script made beforehand."""
    made = Passwords(*CHEAP).hash(FIRST)
    person = store.people.add("ruth", "Ruth", made, "setup", roles={"organiser": ""}, first_password=True)
    return store.people.new_token(person.id, "early", "setup")


def test_nothing_else_opens_until_it_is_changed(app: Flask, ruth, browser):
    assert browser.sign_in("ruth", FIRST).status_code == 303
    secret = browser.csrf("/account")
    opened = set()
    for method, rule, _ in table(app):
        path = re.sub(
            r"<(?:\w+:)?(\w+)>", lambda match: {"day_id": DAY, "filename": "page.css"}.get(match[1], "1"), rule
        )
        if rule.startswith("/api/") or rule in OPEN:
            continue
        answer = browser.client.open(path, method=method, data=None if method == "GET" else {"csrf": secret})
        if method == "GET":
            refused = answer.status_code == 303 and answer.headers["Location"] == "/account#password"
        else:
            refused = answer.status_code == 403 and "choose one of your own" in answer.text.lower()
        if not refused:
            opened.add((method, rule, answer.status_code))
    assert not opened


def test_its_tokens_are_refused_until_then(app, ruth, browser):
    bearer = {"Authorization": f"Bearer {ruth}"}
    refused = browser.client.get(f"/api/v1/days/{DAY}/entries", headers=bearer)
    assert refused.status_code == 403 and "one of your own" in refused.json["detail"]
    assert browser.client.get("/api/v1/days", headers=bearer).status_code == 403, "not even what everybody sees"
    browser.sign_in("ruth", FIRST)
    changed = browser.post("/account/password", {"/old": FIRST, "/new": OWN}, page="/account")
    assert changed.status_code == 303
    assert app.test_client().get(f"/api/v1/days/{DAY}/entries", headers=bearer).status_code == 200
    assert browser.get(f"/days/{DAY}/organise").status_code == 200


def test_the_same_password_again_is_no_change(ruth, browser, store):
    browser.sign_in("ruth", FIRST)
    page = browser.get("/account").text
    assert "Choose a password of your own" in page and "Make a token" not in page
    same = browser.post("/account/password", {"/old": FIRST, "/new": FIRST}, page="/account")
    assert same.status_code == 422 and "expected another one" in same.text
    assert store.people.by_login("ruth").first_password


def test_hashing_the_same_password_anew_does_not_count_as_changing_it(ruth, store):
    person = store.people.by_login("ruth")
    kept = store.people.set_password_hash(person.id, Passwords(2, 16).hash(FIRST), "ruth", same_password=True)
    assert kept.first_password and kept.epoch == person.epoch
    assert not store.people.set_password_hash(person.id, Passwords(2, 16).hash(OWN), "ruth").first_password
