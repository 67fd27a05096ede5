"""Signing in as the service's own people do."""

from __future__ import annotations

import re
from typing import Any

from tests.served import PASSWORD


def sign_in(page: Any, login: str) -> None:
    """Through the form, up to the first page."""
    page.goto("/sign-in")
    page.get_by_label("Login").fill(login)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("main").get_by_role("button").click()
    page.wait_for_url(re.compile("//[^/]+/$"))
