"""Times and sources of conditions as a person on the field reads them.

Offsets: tz database; North America keeps daylight saving time from the second Sunday of March (15 U.S.C. 260a).
"""

from datetime import UTC, datetime, timedelta

from service.models.conditions import Conditions, WindLevel
from service.planning.weather.provenance import Provenance
from service.planning.weather.told import clock, in_zone, source_words

ZONE = "America/Chicago"
NINE = datetime(2027, 5, 15, 14, 0, tzinfo=UTC)  # nine in the morning there, in daylight saving time


def conditions(source: str) -> Conditions:
    wind = (WindLevel(height_m=2.0, speed_mps=3.0, from_deg=240.0),)
    return Conditions(observed_at=NINE, source=source, temperature_c=18.0, pressure_hpa=978.0, wind=wind)


def test_a_time_is_told_by_the_field_s_clock_with_its_zone():
    assert clock(NINE, ZONE, NINE) == "09:00 CDT"
    assert clock(datetime(2027, 1, 15, 15, 0, tzinfo=UTC), ZONE) == "15 January 2027, 09:00 CST"
    assert clock(NINE - timedelta(hours=10), ZONE, NINE) == "14 May 2027, 23:00 CDT"
    assert clock(NINE, "America/Argentina/Cordoba", NINE) == "11:00 UTC-0300"


def test_every_time_of_a_sentence_is_carried_over_and_nothing_else():
    text = "Kept from 2027-05-15 13:30 UTC to 2027-05-16 02:00 UTC (FB XQA, 2027-05-15)."
    assert in_zone(text, ZONE, NINE) == "Kept from 08:30 CDT to 21:00 CDT (FB XQA, 2027-05-15)."


def test_the_source_tells_what_was_kept_and_since_when():
    kept = {"T": NINE - timedelta(minutes=20), "p": NINE - timedelta(minutes=20), "vis": NINE - timedelta(minutes=5)}
    line = Provenance("hand meter", kept, (NINE - timedelta(hours=2), "FB XQA 40 km")).line()
    assert source_words(conditions(line), ZONE) == (
        "hand meter; temperature and pressure kept from 08:40 CDT; visibility kept from 08:55 CDT; "
        "winds aloft from FB XQA 40 km, valid 07:00 CDT"
    )
    assert source_words(conditions("mast at the pads; as ever"), ZONE) == "mast at the pads; as ever"
