"""The API against its own description: a property-based tester (schemathesis) on a running server, all checks."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import requests
from waitress.server import create_server

from service.models.day import LaunchDay
from service.planning.advise.ladder import motor_ladder
from service.store import open_store
from service.web import Config, create_app
from service.web.jobs import CannotBeDone
from service.web.passwords import Passwords
from tests.builders import small_day
from tests.planning.quick import quick_day
from tests.web.advice_day import real
from tests.web.conftest import CHEAP, DAY, PASSWORD, PLENTY, Clock, quick_assessment

HERE = Path(__file__).resolve().parent
WHOLE = "RANGEHAND_WHOLE_CONTRACT" in os.environ  # some 25,000 requests, three minutes; else some hundreds


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """A service on a file of its own: its address, and the token of somebody who may do everything."""
    clock = Clock()
    with open_store(tmp_path_factory.mktemp("contract") / "day.db", clock) as store:
        store.import_day(LaunchDay.model_validate(small_day()), by="setup", day_id=DAY)
        root = store.people.add("root", "Root", Passwords(*CHEAP).hash(PASSWORD), "setup", roles={"organiser": ""})
        store.people.grant(root.id, "rso", "", "setup")
        config = Config(
            rates=replace(PLENTY, sign_in_as=PLENTY.write), assess=quick_assessment, clock=clock, password_cost=CHEAP,
            workers=1, stand_ins=_at_once(), jobs_each=20,
        )  # fmt: skip
        app = create_app(config, store)
        made = create_server(app, host="127.0.0.1", port=0, threads=8)
        runner = threading.Thread(target=made.run, daemon=True)
        runner.start()
        yield f"http://127.0.0.1:{made.effective_port}", store.people.new_token(root.id, "contract", "setup")
        made.close()
        app.extensions["jobs"].close()
        app.extensions["reassessor"].close()


def _at_once() -> dict[str, Callable[[Any], Any]]:
    """Answers of long work without the work: the shapes are tried here."""
    day = quick_day()
    entry, alone = day.entry_by_id("n1"), day.model_copy(update={"entries": ()})
    found = motor_ladder(alone, entry, samples=64, most_samples=64, threads=1)
    made = {"ladder": found, **{kind: real(kind, "e-11") for kind in ("fixes", "aim", "plan")}}
    return {kind: (lambda watch, answer=answer: answer) for kind, answer in made.items()} | {"sizing": _no_answer}


def _no_answer(watch: Any) -> Any:
    raise CannotBeDone("the tester asks for no field's size")


def test_all_checks(server: tuple[str, str], tmp_path: Path) -> None:
    address, token = server
    phases, examples = ("coverage,fuzzing,stateful", "20") if WHOLE else ("fuzzing,stateful", "6")
    command = [
        str(Path(sys.executable).with_name("schemathesis")), "--config-file", str(HERE / "schemathesis.toml"),
        "run", f"{address}/api/v1/openapi.json", "--header", f"Authorization: Bearer {token}", "--checks", "all",
        "--max-examples", examples, "--phases", phases, "--seed", "1", "--no-color", "--workers", "2",
    ]  # fmt: skip
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, timeout=900)
    assert done.returncode == 0, done.stdout[-12_000:] + done.stderr[-2000:]


def test_the_description_names_every_route(server: tuple[str, str]) -> None:
    address, _ = server
    told = requests.get(f"{address}/api/v1/openapi.json", timeout=10).json()
    assert told["openapi"] == "3.1.0"
    with_bodies = [
        operation for path in told["paths"].values() for operation in path.values() if "requestBody" in operation
    ]
    assert len(with_bodies) > 8
    for operation in with_bodies:
        assert {"400", "415", "422"} <= set(operation["responses"])
