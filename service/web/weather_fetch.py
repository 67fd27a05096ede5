"""Fetching one METAR from a weather service: only where the service was given an address at its start, never needed.

RANGEHAND_WEATHER_URL is that address, with {station} where the airfield's name belongs:

    RANGEHAND_WEATHER_URL='https://weather.example/metar?ids={station}&format=raw' rangehand serve

What comes back is put into the form as if somebody had typed it: a person reads it before it counts.
"""

from __future__ import annotations

import http.client
import re
import time
import urllib.error
import urllib.request
from urllib.parse import quote, urlsplit

from service.planning.weather.errors import WeatherRefused, refuse

NAME = "the weather service"
PLACE = "{station}"
TIMEOUT_S = 6.0
LARGEST = 20_000  # bytes; a day of reports of one airfield takes some 5,000
KINDS = ("http", "https")


class _Redirects(urllib.request.HTTPRedirectHandler):
    """Follows a few; where one leads to what is neither http nor https, nobody is there to follow it."""

    max_redirections = 3


def address_fault(template: str) -> str:
    """What is wrong with an address that was set; empty for nothing, and where none is set."""
    if not template:
        return ""
    parts = urlsplit(template)
    if parts.scheme not in KINDS or not parts.hostname:
        return "found no http or https address"
    if template.count(PLACE) != 1:
        return f"found {template.count(PLACE)} times {PLACE}; expected it once"
    if PLACE in parts.netloc:
        return f"found {PLACE} in the name of the host; expected it in the path or the query"
    return ""


def fetch_metar(template: str, station: str, *, timeout_s: float = TIMEOUT_S) -> str:
    """The latest report of an airfield, as text.

    Parameters
    ----------
    template : str
        The address, `{station}` in it.
    station : str
        Four letters or digits, as reports begin with.

    Raises
    ------
    WeatherRefused
        When nothing was fetched, or nothing of this airfield is in it; says why.
    """
    station = station.strip().upper()
    if not re.fullmatch("[A-Z][A-Z0-9]{3}", station):
        raise refuse(NAME, "station", f'"{station[:20]}"', "four letters or digits, such as KXYZ")
    opener = urllib.request.OpenerDirector()
    for handler in (
        urllib.request.ProxyHandler(), urllib.request.HTTPHandler(), urllib.request.HTTPSHandler(), _Redirects(),
        urllib.request.HTTPErrorProcessor(), urllib.request.HTTPDefaultErrorHandler(), urllib.request.UnknownHandler(),
    ):  # fmt: skip
        opener.add_handler(handler)
    asked = urllib.request.Request(template.replace(PLACE, quote(station, safe="")), headers={"Accept": "text/plain"})
    try:
        with opener.open(asked, timeout=timeout_s) as answer:
            data = _read(answer, time.monotonic() + timeout_s)
    except urllib.error.HTTPError as error:
        raise refuse(NAME, NAME, f"the answer {error.code}", "a report; or type it in") from None
    except (OSError, ValueError, http.client.HTTPException) as error:
        reason = getattr(error, "reason", None) or error
        raise refuse(NAME, NAME, f"no answer ({str(reason)[:80]})", "one; or type the report in") from None
    if len(data) > LARGEST:
        raise refuse(NAME, NAME, f"more than {LARGEST:,} bytes", "a report or a few")
    return _report(data, station)


def _read(answer: http.client.HTTPResponse, until: float) -> bytes:
    """The answer, as far as it is let: one that drips byte by byte must not hold a thread of the service."""
    data = b""
    while len(data) <= LARGEST:
        piece = answer.read1(4096)
        if not piece:
            break
        data += piece
        if time.monotonic() > until:
            raise TimeoutError("it takes too long")
    return data


def _report(data: bytes, station: str) -> str:
    """The first report of the airfield; a report may go on in lines that begin with a space, and ends at =."""
    lines = data.decode("ascii", "replace").replace("\r", "").split("\n")
    begins = re.compile(rf"^(?:METAR |SPECI )?(?:COR )?{station} \d{{6}}Z\b")
    for index, line in enumerate(lines):
        if not begins.match(line.strip()):
            continue
        report = [line.strip()]
        for more in lines[index + 1 :]:
            if report[-1].endswith("=") or not more.startswith((" ", "\t")):
                break
            report.append(more.strip())
        return " ".join(report).rstrip("=").strip()
    raise refuse(NAME, NAME, f"no report of {station}", "one that begins with its name and its time")


__all__ = ["WeatherRefused", "address_fault", "fetch_metar"]
