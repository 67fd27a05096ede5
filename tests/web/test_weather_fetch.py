"""Fetching a METAR: off unless set, from a server of this test's own, and nothing that comes back is trusted."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest

from service.planning.weather.errors import WeatherRefused
from service.store import Unavailable
from service.web.serve import settings_of
from service.web.weather_fetch import LARGEST, address_fault, fetch_metar
from tests.web.conftest import DAY

REPORT = "METAR SACO 091240Z 22010G16KT 9999 FEW040 08/02 Q1015"
AT = f"/days/{DAY}/weather"


class Answers(BaseHTTPRequestHandler):
    """Answers by path."""

    def do_GET(self) -> None:
        path = self.path.partition("?")[0].strip("/")
        if path == "drip":
            self.send_response(200)
            self.end_headers()
            for _ in range(40):
                try:
                    self.wfile.write(b"x")
                    self.wfile.flush()
                except OSError:
                    return
                time.sleep(0.05)
            return
        if path in ("away", "file"):
            self.send_response(302)
            self.send_header("Location", {"away": "/good", "file": "file:///etc/hostname"}[path])
            self.end_headers()
            return
        status, body = {
            "good": (200, f"{REPORT}\n     NOSIG=\nSACO 091140Z 20008KT 9999 08/02 Q1015\n".encode()),
            "bare": (200, REPORT.removeprefix("METAR ").encode()),
            "other": (200, b"METAR SAEZ 091240Z 22010KT CAVOK 08/02 Q1015"),
            "long": (200, b"x" * (LARGEST + 1)),
            "page": (200, "<html>SACO é</html>".encode()),
        }.get(path, (500, b"broken"))
        self.send_response(status)
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: object) -> None:
        """Says nothing."""


@pytest.fixture(scope="module")
def office() -> Iterator[str]:
    """The address of a server that answers as weather offices might."""
    made = ThreadingHTTPServer(("127.0.0.1", 0), Answers)
    threading.Thread(target=made.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{made.server_port}"
    made.shutdown()
    made.server_close()


@pytest.mark.parametrize(
    "path, found", [("good", f"{REPORT} NOSIG"), ("away", f"{REPORT} NOSIG"), ("bare", REPORT[6:])]
)
def test_the_last_report_comes_back(office, path, found):
    assert fetch_metar(f"{office}/{path}?ids={{station}}", "saco") == found


@pytest.mark.parametrize(
    "path, told",
    [
        ("other", "no report of SACO"),
        ("page", "no report of SACO"),
        ("long", "more than 20,000 bytes"),
        ("nothing", "the answer 500"),
        ("file", "the answer 302"),
        ("drip", "too long"),
    ],
)
def test_what_is_no_report_is_refused_in_a_sentence(office, path, told):
    timeout_s = 0.5 if path == "drip" else 60.0  # left alone, the dripping one would be no report after two seconds
    with pytest.raises(WeatherRefused, match=told):
        fetch_metar(f"{office}/{path}?ids={{station}}", "SACO", timeout_s=timeout_s)


def test_nobody_at_home_and_no_name_of_an_airfield(office):
    with pytest.raises(WeatherRefused, match="no answer"):
        fetch_metar("http://127.0.0.1:9/{station}", "SACO", timeout_s=0.5)
    for station in ("", "SA", "../x", "SACO SAEZ", "SA&O"):
        with pytest.raises(WeatherRefused, match="four letters"):
            fetch_metar(f"{office}/good?ids={{station}}", station)


def test_only_an_address_with_one_place_for_the_airfield_can_be_set(monkeypatch, tmp_path):
    assert not address_fault("") and not address_fault("https://weather.example/{station}")
    for wrong in ("weather.example/{station}", "ftp://weather.example/{station}", "file:///{station}", "https://a/b",
                  "https://{station}.example/", "https://a/{station}{station}"):  # fmt: skip
        assert address_fault(wrong), wrong
    monkeypatch.setenv("RANGEHAND_WEATHER_URL", "file:///{station}")
    with pytest.raises(Unavailable, match="RANGEHAND_WEATHER_URL: found no http"):
        settings_of(str(tmp_path / "day.db"))
    monkeypatch.setenv("RANGEHAND_WEATHER_URL", "https://weather.example/{station}")
    assert settings_of(str(tmp_path / "day.db")).weather_url == "https://weather.example/{station}"


def test_it_is_off_unless_set(people, new_browser):
    rita = new_browser("rita")
    assert "Fetch it" not in rita.get(AT).text
    assert rita.post(f"{AT}/fetch", {"/station_name": "SACO", "based_on": "1"}, page="/about").status_code == 404


def test_what_was_fetched_stands_in_the_form_and_counts_only_once_entered(app, people, store, new_browser, office):
    app.config["RANGEHAND"] = replace(app.config["RANGEHAND"], weather_url=f"{office}/good?ids={{station}}")
    rita = new_browser("rita")
    assert "Fetch it into the form" in rita.get(AT).text
    asked = {"/station_name": "saco", "/distance_km": "4", "/station_elevation_m": "170", "based_on": "1"}
    page = rita.post(f"{AT}/fetch", asked, page="/about")
    assert page.status_code == 200 and REPORT in page.text and store.weather.current(DAY).revision == 1
    entered = rita.post(f"{AT}/metar", {**asked, "/metar": f"{REPORT} NOSIG"}, page="/about")
    assert entered.status_code == 303, entered.text
    kept = store.weather.current(DAY)
    assert kept.why.startswith("a METAR") and kept.document.temperature_c == 8.0
    nothing = rita.post(f"{AT}/fetch", {"/station_name": "x", "based_on": "1"}, page="/about")
    assert nothing.status_code == 422 and "four letters" in nothing.text


def test_programs_fetch_too(app, people, store, office):
    token = store.people.new_token(store.people.by_login("rita").id, "test", "setup")
    bearer, at = {"Authorization": f"Bearer {token}"}, f"/api/v1{AT.removesuffix('weather')}conditions/fetched-metar"
    client = app.test_client()
    assert client.post(at, json={"station": "SACO"}, headers=bearer).status_code == 404
    for path, status in (("good", 200), ("other", 422)):
        app.config["RANGEHAND"] = replace(app.config["RANGEHAND"], weather_url=f"{office}/{path}?ids={{station}}")
        answer = client.post(at, json={"station": "SACO"}, headers=bearer)
        assert answer.status_code == status, answer.text
