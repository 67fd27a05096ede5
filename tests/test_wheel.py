"""The wheel holds what an installation needs, and nothing of the tests. Built without the network."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

from service.version import ENGINE_PARTS, VERSION, engine

ROOT = Path(__file__).resolve().parent.parent
PARTS = ("service", "geo", "reports", "fixtures")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """Built from a copy, so that the checkout stays as it is."""
    pytest.importorskip("hatchling", reason="the build backend is not installed")
    folder = tmp_path_factory.mktemp("wheel")
    source = folder / "source"
    for part in PARTS:
        shutil.copytree(ROOT / part, source / part, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(ROOT / name, source / name)
    command = [sys.executable, "-m", "pip", "wheel", "--no-deps", "--no-build-isolation", "--no-index", "-q"]
    found = subprocess.run([*command, "-w", folder, source], capture_output=True, text=True, timeout=120, check=False)
    assert found.returncode == 0, found.stderr
    (path,) = folder.glob("*.whl")
    return path


def test_it_is_named_after_project_and_version(wheel):
    assert wheel.name == f"rangehand-{VERSION}-py3-none-any.whl"


def test_it_holds_demo_and_codes_and_no_tests(wheel):
    names = zipfile.ZipFile(wheel).namelist()
    assert "service/fixtures/heron_meadow.json" in names
    codes = {path.name for path in (ROOT / "service" / "codes").glob("*.toml")}
    assert len(codes) >= 5 and {f"service/codes/{name}" for name in codes} <= set(names)
    tops = {name.split("/")[0] for name in names}
    assert tops == {"service", "geo", "reports", f"rangehand-{VERSION}.dist-info"}
    assert not [name for name in names if Path(name).name.startswith(("test_", "conftest"))]
    assert not [name for name in names if name.endswith((".pyc", ".nbi", ".nbc"))]


def test_its_files_are_those_of_the_checkout(wheel):
    archive = zipfile.ZipFile(wheel)
    assert archive.read("service/fixtures/heron_meadow.json") == (ROOT / "fixtures/heron_meadow.json").read_bytes()
    sources = [path for part in ("service", "geo", "reports") for path in (ROOT / part).rglob("*.py")]
    missing = {path.relative_to(ROOT).as_posix() for path in sources} - set(archive.namelist())
    assert not missing


def test_the_demo_runs_from_the_wheel_alone(wheel, tmp_path):
    """Unpacked where no checkout is: the demo document is found beside the package."""
    zipfile.ZipFile(wheel).extractall(tmp_path / "site")
    code = "from service.planning.demo import demo_document; from service.version import engine; " \
        "import service; print(len(demo_document()), engine(), service.__file__)"  # fmt: skip
    found = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, env={"PYTHONPATH": str(tmp_path / "site")}, capture_output=True,
        text=True, timeout=60, check=False,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr
    size, its_engine, place = found.stdout.split()
    assert int(size) == (ROOT / "fixtures/heron_meadow.json").stat().st_size
    assert place.startswith(str(tmp_path)) and its_engine.startswith(f"{VERSION}+")


def test_its_command_is_rangehand(wheel):
    archive = zipfile.ZipFile(wheel)
    entry_points = archive.read(f"rangehand-{VERSION}.dist-info/entry_points.txt").decode()
    assert "rangehand = service.cli:main" in entry_points


def test_project_and_program_agree_on_the_version():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert project["version"] == VERSION and project["name"] == "rangehand"


def test_the_fingerprint_is_of_the_source(monkeypatch, tmp_path):
    """One letter more in a rule, or in the flight model, is another engine; a letter in a page is not."""
    from service import version

    assert engine() == engine() and engine().startswith(f"{VERSION}+")
    folders = [part for part in ENGINE_PARTS if (ROOT / part).is_dir()]
    for part in (*folders, "service/planning", "reports"):
        shutil.copytree(ROOT / part, tmp_path / part, ignore=shutil.ignore_patterns("__pycache__", "*.nb?"))
    monkeypatch.setattr(version, "__file__", str(tmp_path / "service" / "version.py"))

    def here() -> str:
        engine.cache_clear()
        return engine()

    try:
        first = here()
        (tmp_path / "reports" / "theme.py").write_text("# another colour\n")
        assert here() == first
        seen = {first}
        for name in ("service/codes/practice.toml", "service/flight/kernel.py", "geo/footprint.py",
                     "service/planning/facts.py", "service/models/policy.py"):  # fmt: skip
            with (tmp_path / name).open("a") as file:
                file.write("\n#\n")
            seen.add(here())
        assert len(seen) == 6
    finally:
        monkeypatch.undo()
        engine.cache_clear()
