"""Processes that compile at once do so one after the other, and one that dies in it holds up nobody."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from service.flight.compile_lock import CompileLock

COMPILES = """
import sys
from service.flight.compiled import compile_lock, kernel
print(compile_lock.file, flush=True)
sys.stdin.readline()

def doubled(x):
    return 2.0 * x

print(kernel(doubled)(21.0), flush=True)
"""
HOLDS = """
import sys
from pathlib import Path
from service.flight.compile_lock import CompileLock
with CompileLock(Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.readline()
"""


def process(folder, script, *arguments, **environment):
    (folder / "script.py").write_text(script)  # what is compiled needs a file for its cache
    return subprocess.Popen(
        [sys.executable, str(folder / "script.py"), *arguments],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), **environment},
    )  # fmt: skip


def ended(child, within_s):
    try:
        return child.wait(within_s) is not None
    except subprocess.TimeoutExpired:
        return False


def test_a_kernel_is_not_compiled_while_another_process_compiles(tmp_path):
    with process(tmp_path, COMPILES, NUMBA_CACHE_DIR=str(tmp_path), NUMBA_DISABLE_JIT="0") as child:
        file = Path(child.stdout.readline().strip())
        assert tmp_path in file.parents
        with CompileLock(file):
            child.stdin.write("\n")
            child.stdin.flush()
            assert not ended(child, within_s=1.5)
        assert child.stdout.readline().strip() == "42.0"
        assert ended(child, within_s=30.0)


def test_a_process_that_dies_lets_go(tmp_path):
    file = tmp_path / "compiling"
    with process(tmp_path, HOLDS, str(file)) as child:
        assert child.stdout.readline().strip() == "held"
        child.kill()
        child.wait()
    began = time.monotonic()
    lock = CompileLock(file, longest_wait_s=20.0)
    with lock:
        assert lock._connection is not None
    assert time.monotonic() - began < 10.0


def test_it_only_counts_when_entered_again_and_is_free_after(tmp_path):
    lock, other = (CompileLock(tmp_path / "compiling", longest_wait_s=0.0) for _ in range(2))
    with lock:
        with lock:
            assert lock._connection is not None
        with other:
            assert other._connection is None  # held: it went on without
    with other:
        assert other._connection is not None


@pytest.mark.parametrize("place", ["missing/compiling", "."])
def test_where_nothing_can_be_locked_it_goes_on(tmp_path, place):
    lock = CompileLock(tmp_path / place)
    with lock:
        assert lock._connection is None
