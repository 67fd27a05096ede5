"""The wait after a misfire: which items of the codes name it."""

from __future__ import annotations

from service.codes.load import FILES
from service.codes.rulebook import rulebook
from service.planning.misfire import MISFIRE_RULES


def test_the_items_that_name_the_wait_are_all_that_do():
    """NAR Model Rocket Safety Code item 4, High Power item 5, 2012-08: nobody approaches for 60 s."""
    rules = [bound.rule for bound in rulebook(list(FILES)).rules]
    naming = {each.id for each in rules if each.kind == "attested" and "approaches" in each.says}
    assert naming == set(MISFIRE_RULES)
    assert all("60 s" in each.says for each in rules if each.id in MISFIRE_RULES)
