"""Wrong ways in: every route, as everybody it is not for. The table is made from the routes themselves."""

from __future__ import annotations

import re

import pytest
from flask import Flask

from service.store import Store
from service.web import Config, create_app
from service.web.access import access, table, undeclared
from tests.web.conftest import CHEAP, DAY, OTHER_DAY, PLENTY

FILLED = {"day_id": DAY, "entry_id": "n1", "assessment_id": "a" * 32, "motor_id": "c6", "filename": "page.css"}


def _routes() -> list[tuple[str, str, tuple[str, ...]]]:
    with Store.in_memory() as store:
        app = create_app(Config(rates=PLENTY, background=False, password_cost=CHEAP), store)
        return [(method, rule, declared.who) for method, rule, declared in table(app)]


ROUTES = _routes()
CLOSED = [each for each in ROUTES if "anyone" not in each[2]]


def _path(rule: str) -> str:
    def fill(match: re.Match[str]) -> str:
        return FILLED.get(match[1], "1")

    return re.sub(r"<(?:\w+:)?(\w+)>", fill, rule)


def _bearers(store: Store) -> dict[str, str]:
    made = {login: store.people.new_token(store.people.by_login(login).id, "test", "setup") for login in _LOGINS}
    made["flyer n1"] = store.links.new(DAY, "n1", "setup")
    made["flyer n2"] = store.links.new(DAY, "n2", "setup")
    made["flyer n1 of the other day"] = store.links.new(OTHER_DAY, "n1", "setup")
    return made


_LOGINS = ("root", "olga", "rita", "otto", "nora")
_ROLES_HERE = {"root": {"organiser"}, "olga": {"organiser"}, "rita": {"rso"}, "otto": set(), "nora": set()}
_ROLES_EVERYWHERE = {"root": {"organiser"}}


def _may(who: str, declared: tuple[str, ...], rule: str) -> bool:
    """What the declaration says, worked out here again from the accounts that the fixtures made."""
    if "anyone" in declared:
        return True
    if who in _LOGINS:
        of_day = _ROLES_HERE[who] if "<day_id>" in rule else _ROLES_EVERYWHERE.get(who, set())
        return "signed_in" in declared or bool(of_day & set(declared))
    return who == "flyer n1" and "flyer" in declared and "<entry_id>" in rule


CALLERS = ["nobody", *_LOGINS, "flyer n1", "flyer n2", "flyer n1 of the other day"]


@pytest.mark.parametrize("who", CALLERS)
def test_every_route_as_everybody(app, day, people, store, new_browser, who):
    """One caller goes through the whole table; whoever is not named is turned away, whoever is named is not."""
    bearers = _bearers(store)
    browser = new_browser(who if who in _LOGINS else "")
    if who.startswith("flyer"):
        assert browser.get(f"/private/{bearers[who]}").status_code == 303
    bearer = {"Authorization": f"Bearer {bearers[who]}"} if who in bearers else {}
    wrong, secret = [], browser.csrf("/about")
    for method, rule, declared in ROUTES:
        ends_links = rule.startswith("/api/") and rule.endswith("/links") and method == "POST"
        if (
            ends_links
            or rule in ("/sign-out", "/account/password")
            or (method == "DELETE" and _may(who, declared, rule))
        ):
            continue  # would end what the rest of the walk needs
        path, may = _path(rule), _may(who, declared, rule)
        if rule.startswith("/api/"):
            answer = browser.client.open(path, method=method, headers=bearer, json={})
        else:
            sent = {"csrf": secret} if method != "GET" else None
            answer = browser.client.open(path, method=method, data=sent)
        to_sign_in = answer.status_code == 303 and answer.headers["Location"].startswith("/sign-in")
        refused = answer.status_code in (401, 403) or to_sign_in
        if refused == may or answer.status_code >= 500:
            wrong.append((method, path, declared, answer.status_code))
    assert not wrong


def test_some_routes_are_closed_at_all():
    assert len(CLOSED) > 10
    assert {who for each in CLOSED for who in each[2]} >= {"rso", "organiser", "flyer", "signed_in"}


def test_a_route_that_does_not_say_stops_the_app():
    bare = Flask("bare", static_folder=None)
    bare.add_url_rule("/open", view_func=lambda: "")
    assert undeclared(bare) == ["/open"]
    with pytest.raises(TypeError):
        access()


def test_a_role_taken_away_ends_at_once(new_browser, people, day, store):
    browser = new_browser("rita")
    path = f"/days/{day}/entries/n1"
    assert browser.get(path).status_code == 200
    store.people.take_role(store.people.by_login("rita").id, "rso", day, "setup")
    assert browser.get(path).status_code == 403


def test_a_revoked_link_opens_nothing(browser, day, store):
    token = store.links.new(day, "n1", "setup")
    path = f"/days/{day}/entries/n1"
    browser.get(f"/private/{token}")
    assert browser.get(path).status_code == 200
    (link,) = [each for each in store.links.all(day, "n1")]
    store.links.revoke(day, "n1", link.id, "setup")
    assert browser.get(path).status_code == 303  # to the sign-in
    assert browser.get(f"/private/{token}").status_code == 404
    assert browser.client.get(f"/api/v1{path}", headers={"Authorization": f"Bearer {token}"}).status_code == 401
