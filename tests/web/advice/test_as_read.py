"""A program makes the change that it has read, or none: what was worked out anew meanwhile is another one."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.web.advice_day import DAY, DELAY_S, AdviceClock, few_entries, real, served, together_of_two
from tests.web.conftest import PATIENCE_S

HERE = f"/api/v1/days/{DAY}/entries/e-11"


def anew(found):
    """As if another change were verified: another delay, by assessments of other ids."""
    fixes = tuple(
        each if each.entry is None else each.model_copy(
            update={"assessment": "b" * 32, "entry": each.entry.model_copy(update={"delay_s": DELAY_S})}
        )
        for each in found.fixes
    )  # fmt: skip
    return found.model_copy(update={
        "fixes": fixes, "together": found.together.model_copy(update={"assessment": "c" * 32}),
    })  # fmt: skip


@pytest.mark.parametrize("which", ["one", "together"])
def test_what_was_read_before_the_weather_changed_is_not_made_of_what_came_after(which):
    first = together_of_two(real("fixes", "e-11"), delay_s=DELAY_S)
    number = first.together.fixes[0]
    clock, answers = AdviceClock(), iter([first, anew(first)])
    with served(clock) as (app, store):
        app.extensions["jobs"]._stand_ins["fixes"] = lambda watch: next(answers)
        headers = {"Authorization": f"Bearer {store.links.new(DAY, 'e-11', 'setup')}", "If-Match": '"1"'}
        client = app.test_client()

        def read() -> str:
            client.post(f"{HERE}/fixes", headers=headers)
            assert app.extensions["jobs"].wait(PATIENCE_S)
            told = client.get(f"{HERE}/fixes", headers=headers).json
            found = told["together"] if which == "together" else told["fixes"][number - 1]
            make = "together" if which == "together" else number
            return f"{HERE}/fixes/{make}/apply?assessment={found['assessment']}"

        before = read()
        clock.now += timedelta(minutes=5)
        weather = store.weather.current(DAY)
        cooler = weather.document.model_copy(
            update={"temperature_c": weather.document.temperature_c - 2.0, "observed_at": clock.now}
        )
        store.weather.enter(DAY, cooler, "setup", based_on=weather.revision)
        after = read()
        refused = client.post(before, headers=headers)
        assert refused.status_code == 409 and "not the change that was read" in refused.json["detail"]
        assert store.entries.get(DAY, "e-11").entry == few_entries().entry_by_id("e-11")
        assert client.post(after, headers=headers).status_code == 200
        assert store.entries.get(DAY, "e-11").entry.delay_s == DELAY_S


def test_the_description_says_that_it_cannot_be_left_out():
    with served(AdviceClock()) as (app, _store):
        paths = app.test_client().get("/api/v1/openapi.json").json["paths"]
    for path in ("fixes/{number}/apply", "fixes/together/apply", "aim/apply"):
        told = paths[f"/days/{{day_id}}/entries/{{entry_id}}/{path}"]["post"]["parameters"]
        needed = [each["name"] for each in told if each["in"] == "query" and each.get("required")]
        assert needed == ["assessment"] and len(told) > 3, path
