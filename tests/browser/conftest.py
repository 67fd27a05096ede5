"""The system's Chromium on a running service; without one these tests are skipped, and a warning says so."""

from __future__ import annotations

import os
import shutil
import tempfile
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser.signing_in import sign_in
from tests.served import DAY, Served, served

PHONE, LAPTOP = {"width": 390, "height": 844}, {"width": 1280, "height": 900}
PATIENCE_MS = 60_000  # the first assessment may have to compile the flight model

try:
    from playwright.sync_api import expect

    expect.set_options(timeout=PATIENCE_MS)
except ImportError:  # every test here is skipped then
    expect = None  # type: ignore[assignment]


@pytest.fixture(scope="session")
def chromium() -> str:
    """Where the system's Chromium is."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None or expect is None:
        told = "NO PAGE WAS TRIED IN A BROWSER: chromium or playwright is not installed"
        warnings.warn(told, stacklevel=1)
        pytest.skip(told)
    return found


@pytest.fixture(scope="session", autouse=True)
def going_on() -> Iterator[None]:
    """Going to another page is tried again where the page that is left showed itself anew at that very moment."""
    if expect is None:
        yield
        return
    from playwright.sync_api import Error, Page

    plain = Page.goto

    def goto(page: Any, url: str, **how: Any) -> Any:
        try:
            return plain(page, url, **how)
        except Error as error:
            if "ERR_ABORTED" not in str(error):
                raise
            return plain(page, url, **how)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Page, "goto", goto)
        yield


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory, chromium: str) -> Iterator[Served]:
    """One running service a module."""
    with served(tmp_path_factory.mktemp("served")) as running:
        yield running


@pytest.fixture(scope="module")
def machine(chromium: str) -> Iterator[Any]:
    """One browser program a module."""
    from playwright.sync_api import sync_playwright

    sandbox = ["--no-sandbox"] if os.geteuid() == 0 else []  # its sandbox does not run as root
    with sync_playwright() as running:
        program = running.chromium.launch(executable_path=chromium, args=sandbox)
        yield program
        program.close()


@pytest.fixture
def open_page(machine: Any, service: Served) -> Iterator[Callable[..., Any]]:
    """Pages of browsers that share nothing, signed in if a login is given; a script's error fails the test."""
    contexts, errors = [], []

    def make(login: str = "", **options: Any) -> Any:
        context = machine.new_context(base_url=service.base, **({"viewport": LAPTOP} | options))
        context.set_default_timeout(PATIENCE_MS)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.on("console", lambda said: errors.append(said.text) if "Content Security Policy" in said.text else None)
        if login:
            sign_in(page, login)
        return page

    yield make
    for each in contexts:
        each.close()
    assert errors == []


def words_of(found: Any) -> str:
    """What a part of a page says, with plain spaces where it keeps a figure beside its unit."""
    return str(found.inner_text()).replace("\N{NO-BREAK SPACE}", " ")


@pytest.fixture(scope="session")
def pictures() -> Path:
    """Where screenshots go: RANGEHAND_PICTURES, or a temporary folder."""
    folder = Path(os.environ.get("RANGEHAND_PICTURES") or tempfile.mkdtemp(prefix="rangehand-pictures-"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder


__all__ = ["DAY", "LAPTOP", "PATIENCE_MS", "PHONE", "expect", "words_of"]
