"""Entries with as many findings as a real code pack brings, and more. All of it invented."""

from __future__ import annotations

import dataclasses

from reports.amounts import Amount, Limit, Standing
from reports.sheet_data import EntryPage, Finding, Tick
from tests.reports.sample import REED

MEANINGS = (
    ("total impulse", "impulse"),
    ("apogee, upper 95 %", "length"),
    ("chance of landing among people, ballistic", "chance"),
    ("speed off the guide, lower 5 %", "speed"),
    ("pad to the nearest point of the boundary", "length"),
    ("kinetic energy of the heaviest section at landing", "energy"),
    ("average thrust over weight at lift-off", "ratio"),
    ("opening off the apogee by, upper 95 %", "time"),
)
STATEMENT = "The upper bound of what is measured here is at most what the rule allows"
TICK = Tick("The motors are certified, commercially made, unaltered", "item 3", short="Motors certified, unaltered")
CLAUSE = "Code of a Rocketry Body, item {} and table; Standard 9999 4.{}"


def finding(number: int, standing: Standing) -> Finding:
    meaning, quantity = MEANINGS[number % len(MEANINGS)]
    value = 0.01 + 0.37 * number if quantity != "chance" else 0.001 * number
    return Finding(
        rule_id=f"rule-{standing}-{number}",
        says=f"{STATEMENT}, number {number}.",
        standing=standing,
        weight="code",
        measured=Amount(value, quantity),
        limit=Limit("at_most", Amount(2.0 * value, quantity)),
        clause=CLAUSE.format(number, number),
        edition="2018-08",
        known="read in a copy",
        short=f"{meaning}, part {number}",
        short_source=f"body's code {number}",
    )


def crowded(clear: int, against: int, ticks: int = 7) -> EntryPage:
    """An entry with so many clear findings, and so many that are not, over the three other standings."""
    standings: tuple[Standing, ...] = ("stop", "unknown", "caution")
    others = [finding(i, standings[i % 3]) for i in range(against)]
    return dataclasses.replace(
        REED,
        entry_id="e-40",
        standing="stop",
        findings=(*others, *(finding(i, "clear") for i in range(clear))),
        ticks=tuple(TICK for _ in range(ticks)),
    )
