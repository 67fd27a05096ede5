"""Tables, migrations, the audit trail. The only package that knows SQLAlchemy.

    with open_store("day.db") as store:                   # or postgresql://...; makes and renews the tables
        day_id = store.import_day(document, by="organiser-1")
        assert store.day_document(day_id) == document

`by` is who does it, as the audit trail names them: a login, or "flyer e-07". Whatever can be edited is handed out
with its `revision`; hand that back as `based_on`, and a `Conflict` tells who was faster and what they changed.
Every call is one transaction: it happens whole, with its audit record, or raises a `StoreError` (errors.py) and
leaves nothing. Times are texts in UTC. `Store.in_memory()` has the same calls, for tests.

    store.days          all() document(day) header(day) history(day) update(day, DayHeader, by, based_on=)
                        update_with_entry(day, DayHeader, Entry, by, based_on=(header's, entry's), until_ruled=)
                        import_day(LaunchDay, by, day_id=, reserve=)
                        marked(day) -> document, mark; replace(day, LaunchDay, by, based_on=mark, reserve=)
    store.weather       current(day) history(day) enter(day, Conditions, by, based_on=)
                        forecast(day) set_forecast(day, hours, by, based_on=)
    store.motors        all(day) get(day, motor) history(day, motor) save(day, motors, by, based_on={id: revision})
                        remove(day, motor, by, based_on=)                Offer: motor, revision, reserved, left
    store.entries       all(day) get(day, entry) history(day, entry) add(day, Entry, by) -> record and link token
                        update(day, Entry, by, based_on=, until_ruled=) withdraw(day, entry, by, based_on=)
                        erase(day, entry, by, based_on=)
    store.attestations  all(day) add(day, entry or "", rule, Attestation, by) take_back(day, entry or "", rule, by)
    store.assessments   snapshot(day) -> document, bases; find(ids); get(id); places(id) -> day and entry
                        keep(day, [(Assessment, basis)], by, sweep=) current(day) -> assessment_id, standing, fresh
    store.rulings       rule(day, entry, Verdict, by, assessment_id=, based_on=) latest(day) history(day, entry)
    store.desk(day)     every entry with its last assessment and ruling, and the conditions, of one moment
    store.links         new(day, entry, by) -> token; open(token) -> Link; all(day, entry); revoke(day, entry, link, by)
    store.people        add by_login get all update set_password_hash set_active; grant take_role roles(person, day);
                        new_token by_token tokens revoke_token
    store.flights       all(day, mistakes=) add(day, Flight, by, another=, also=) history(day, number)
                        add_all(day, [Flight], by, also=Put) update(day, number, Flight, by, based_on=, also=)
    store.sheets        add(day, pdf, by, entry_id=, sheet_id=) all(day) pdf(day, sheet)
    store.sweeps        begin(day, by) end(day, number, by) latest(day) -> what each pass over a day moved
    store.keys          add(name, encrypted_pem, certificate_pem, by) get(name) names()
    store.settings      get(name) find(name) all() set(name, value, by, based_on=)
    store.audit         head() records(after=, limit=, subject=) newest(limit)
    store.verify_chain(printed_head=None) -> ChainReport: whole, count, head, broken (number and reason), more
    store.health()      backend, version of the tables, head of the trail

A motor's `stock` is what is on offer in all; `left` is that less what entries reserved, and never falls below zero.
A ruling's `state` is its word, or "lapsed" once its assessment is not the entry's current one; an assessment stops
being current (`fresh` false) the moment the header, the conditions, its motor or its entry changes.
"""

from service.store.errors import (
    AlreadyLogged,
    AlreadyThere,
    AlreadyTicked,
    Busy,
    Conflict,
    NotFound,
    OutOfStock,
    Refused,
    StoreError,
    TooLarge,
    Unavailable,
)
from service.store.header import DayHeader
from service.store.migrate import upgrade
from service.store.rulings import Verdict
from service.store.standing import Basis
from service.store.store import Store, open_store

__all__ = [
    "AlreadyLogged",
    "AlreadyThere",
    "AlreadyTicked",
    "Basis",
    "Busy",
    "Conflict",
    "DayHeader",
    "NotFound",
    "OutOfStock",
    "Refused",
    "Store",
    "StoreError",
    "TooLarge",
    "Unavailable",
    "Verdict",
    "open_store",
    "upgrade",
]
