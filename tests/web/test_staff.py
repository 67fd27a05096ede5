"""Accounts, roles and private links from the organiser's page: who may, and that what is ended has ended."""

from __future__ import annotations

import re

from tests.web.conftest import DAY, OTHER_DAY

AT = f"/days/{DAY}/people"


def post(browser, path: str, **fields: str):
    return browser.client.post(path, data={"csrf": browser.csrf("/about"), **fields})


def test_a_role_is_given_and_taken_on_this_day_alone(store, people, new_browser):
    olga = new_browser("olga")
    assert post(olga, f"{AT}/roles", **{"/login": "nora", "/role": "rso"}).status_code == 303
    nora = store.people.by_login("nora")
    assert store.people.roles(nora.id, DAY) == {"rso"} and store.people.roles(nora.id, OTHER_DAY) == frozenset()
    assert post(olga, f"{AT}/roles/take", person=nora.id, role="rso").status_code == 303
    assert store.people.roles(nora.id, DAY) == frozenset()
    nobody = post(olga, f"{AT}/roles", **{"/login": "nobody", "/role": "rso"})
    assert nobody.status_code == 422 and 'value="nobody"' in nobody.text
    assert post(olga, f"/days/{OTHER_DAY}/people/roles", **{"/login": "nora", "/role": "rso"}).status_code == 403


def test_a_role_on_every_day_is_not_this_pages_to_take(store, people, new_browser):
    root = store.people.by_login("root")
    assert post(new_browser("olga"), f"{AT}/roles/take", person=root.id, role="organiser").status_code == 404
    assert store.people.roles(root.id, DAY) == {"organiser"}


def test_a_new_account_signs_in_with_the_password_shown_once(store, people, new_browser):
    olga = new_browser("olga")
    fields = {"/account/login": "ruth", "/account/name": "Ruth", "/account/role": "rso"}
    made = post(olga, f"{AT}/new", **fields)
    password = re.search(r'class="secret">([^<]+)<', made.text)[1]
    assert password not in olga.get(AT).text
    ruth = new_browser()
    assert ruth.sign_in("ruth", password).status_code == 303
    own = {"/old": password, "/new": "five grey plovers"}
    assert ruth.post("/account/password", own, page="/account").status_code == 303
    assert ruth.get(f"/days/{DAY}/desk").status_code == 200
    again = post(olga, f"{AT}/new", **fields)
    assert again.status_code == 422 and "already" in again.text and 'value="Ruth"' in again.text


def test_a_forgotten_password_is_replaced_by_one_shown_once(store, people, new_browser):
    """By who organises every day: an organiser of this day could otherwise take over an account of another."""
    rita, olga, root = new_browser("rita"), new_browser("olga"), new_browser("root")
    person = store.people.by_login("rita")
    at = f"/people/{person.id}/first-password"
    assert at not in olga.get(AT).text and at in root.get(AT).text
    assert post(olga, at, day_id=DAY).status_code == 403
    told = post(root, at, day_id=DAY)
    password = re.search(r'class="secret">([^<]+)<', told.text)[1]
    assert "rita has another first password" in told.text and password not in root.get(AT).text
    assert rita.get(f"/days/{DAY}/desk").status_code == 303, "signed out"
    assert new_browser().sign_in("rita").status_code == 403, "the old one is gone"
    again = new_browser()
    assert again.sign_in("rita", password).status_code == 303
    assert again.get(f"/days/{DAY}/desk").headers["Location"] == "/account#password", "to be changed first"
    assert store.verify_chain().whole
    assert post(root, "/people/none/first-password", day_id=DAY).status_code == 404


def test_a_program_replaces_a_forgotten_password_too(store, people, new_browser, app):
    person = store.people.by_login("rita")
    head = {
        login: {"Authorization": f"Bearer {store.people.new_token(store.people.by_login(login).id, 'x', 'setup')}"}
        for login in ("root", "olga")
    }
    at = f"/api/v1/people/{person.id}/first-password"
    assert app.test_client().post(at, headers=head["olga"]).status_code == 403
    made = app.test_client().post(at, headers=head["root"])
    assert made.status_code == 201 and made.json["login"] == "rita"
    assert new_browser().sign_in("rita", made.json["first_password"]).status_code == 303
    assert store.people.by_login("rita").first_password


def test_private_links_end(store, people, new_browser, browser):
    token = store.links.new(DAY, "n1", "setup")
    assert browser.get(f"/private/{token}").status_code == 303
    assert post(new_browser("olga"), f"/days/{DAY}/entries/n1/links/end").status_code == 303
    assert browser.get(f"/private/{token}").status_code == 404
    assert browser.get(f"/days/{DAY}/entries/n1").status_code in (303, 403)


def test_only_who_organises_every_day_closes_accounts_and_ends_tokens(store, people, new_browser):
    nora = store.people.by_login("nora")
    token = store.people.new_token(nora.id, "scales", "setup")
    (kept,) = store.people.tokens(nora.id)
    olga, root = new_browser("olga"), new_browser("root")
    assert post(olga, f"/people/{nora.id}/active", active="false").status_code == 403
    assert post(olga, f"/people/{nora.id}/tokens/{kept.id}/end").status_code == 403
    assert "scales" in root.get(AT).text and "scales" not in olga.get(AT).text
    assert post(root, f"/people/{nora.id}/tokens/{kept.id}/end", day_id=DAY).headers["Location"].endswith(AT)
    api = root.client.get("/api/v1/days", headers={"Authorization": f"Bearer {token}"})
    assert api.status_code == 401
    assert post(root, f"/people/{nora.id}/active", active="false", day_id=DAY).status_code == 303
    assert new_browser().sign_in("nora").status_code == 403
    root_id = store.people.by_login("root").id
    assert post(root, f"/people/{root_id}/active", active="false").status_code == 422  # somebody has to be left
