"""What a client in a process of its own does."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from service.models.entry import Entry
from service.store import OutOfStock, open_store


def register(place: str, day_id: str, template: str, times: int, by: str) -> list[str]:
    """Register the same rocket again and again; returns the ids of those that got their motor."""
    entry = Entry.model_validate_json(template)
    taken = []
    with open_store(place) as store:
        for _ in range(times):
            try:
                taken.append(store.entries.add(day_id, entry, by).record.id)
            except OutOfStock:
                pass
    return taken


def register_until_killed(place: str, day_id: str, template: str) -> None:
    """Register without end, and tell each id once it is kept."""
    entry = Entry.model_validate_json(template)
    with open_store(place) as store:
        while True:
            print(store.entries.add(day_id, entry, "phone", reserve=False).record.id, flush=True)


if __name__ == "__main__":
    job, place, day_id, template, *rest = sys.argv[1:]
    text = Path(template).read_text(encoding="utf-8")
    if job == "register":
        print(json.dumps(register(place, day_id, text, int(rest[0]), rest[1])))
    else:
        register_until_killed(place, day_id, text)
