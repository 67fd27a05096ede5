"""A service that is put on another store knows nothing of the one before."""

from __future__ import annotations

from service.store import Store
from service.web import Config, put_on
from service.web.briefs import briefs
from tests.web.conftest import CHEAP, DAY, PATIENCE_S, PLENTY, Clock, quick_assessment, tried
from tests.web.test_desk import assess_by_hand


def test_nothing_that_was_gathered_is_kept(store, people, day, clock):
    """Of the same assessments, by id, another hand said other things."""

    def config(assess) -> Config:
        return Config(rates=PLENTY, background=False, assess=assess, clock=clock, password_cost=CHEAP, workers=1)

    with tried(config(assess_by_hand), store) as app, Store.in_memory(Clock()) as other:
        with app.app_context():
            app.extensions["reassessor"].kick(DAY)
            assert app.extensions["reassessor"].wait(PATIENCE_S)
            ids = [each.assessment_id for each in store.assessments.current(DAY).values()]
            assert all(each.checklist for each in briefs(ids).values()) and "briefs" in app.extensions
            app.extensions["uploads"] = "what somebody brought"
            for each in ("jobs", "reassessor"):
                app.extensions[each].close()
            put_on(app, config(quick_assessment), other)
            assert briefs(ids) == {} and "uploads" not in app.extensions
