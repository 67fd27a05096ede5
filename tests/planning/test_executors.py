"""A day flown elsewhere: the same answer, and a clear word where that cannot be."""

from __future__ import annotations

import re

import pytest
from click.testing import CliRunner

from service.cli import main
from service.planning import executors
from service.planning.assess import assess_day
from service.planning.executors import NoCluster, executor_at
from tests.planning.quick import quick_day

DOCUMENT = "0" * 64


@pytest.fixture(scope="module")
def cluster():
    from distributed import LocalCluster

    with LocalCluster(n_workers=1, threads_per_worker=1, processes=True, dashboard_address=None) as here:
        yield here


def test_a_cluster_answers_as_this_machine_does(cluster):
    day, told = quick_day(), []
    with executor_at(cluster.scheduler_address) as there, executor_at() as here:
        far = assess_day(day, DOCUMENT, executor=there, progress=lambda *what: told.append(what))
        assert far == assess_day(day, DOCUMENT, executor=here)
    assert [done for done, _total, _entry in told] == [1, 2, 3]


def test_a_worker_with_another_engine_is_refused(cluster, monkeypatch):
    real = executors.engine()
    monkeypatch.setattr(executors, "engine", NewerHere(real))
    with pytest.raises(NoCluster, match=re.escape(real)), executor_at(cluster.scheduler_address):
        pass


class NewerHere:
    """An engine that is another on this machine than where a worker unpacks it."""

    def __init__(self, there: str, here: str = "9.9.9+newer") -> None:
        self.there, self.here = there, here

    def __call__(self) -> str:
        return self.here

    def __reduce__(self):
        return NewerHere, (self.there, self.there)


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:1", "nowhere", "gopher://x:1"])
def test_no_cluster_there_is_said(address, monkeypatch, tmp_path):
    monkeypatch.setattr(executors, "CONNECT_S", 1.0)
    with pytest.raises(NoCluster, match=re.escape(address)), executor_at(address):
        pass


def test_the_command_refuses_a_cluster_that_is_not_there(monkeypatch, tmp_path):
    monkeypatch.setattr(executors, "CONNECT_S", 1.0)
    told = CliRunner().invoke(
        main,
        [
            "assess",
            "tests/fixtures/emberwell_station.json",
            "--out",
            str(tmp_path / "o"),
            "--cluster",
            "tcp://127.0.0.1:1",
        ],
    )
    assert told.exit_code == 2 and "no scheduler answers there" in told.output
    assert not list(tmp_path.rglob("*.json"))
