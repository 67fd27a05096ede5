"""What advice leaves in a folder: all of it as JSON, the motors as a picture."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from reports.svg import svg_file
from service.models.advice import Ladder, Pick
from service.models.advice_answer import AdviceAnswer
from service.planning.advise.picture import ladder_picture
from service.planning.pictures import WIDE, Units


def advice_names(entry_id: str) -> tuple[str, str]:
    """The names of its files, before there is anything to write."""
    return f"advice-{entry_id}.json", f"motors-{entry_id}.svg"


def ladder_svg(ladder: Ladder, picks: Iterable[Pick], units: Units = "si") -> str:
    """The motors in order of apogee as a picture of its own."""
    return svg_file(ladder_picture(ladder, picks, units, WIDE[0]), "motors")


def advice_files(found: AdviceAnswer, units: Units = "si") -> Mapping[str, bytes]:
    """File names and contents."""
    answer = (found.model_dump_json(indent=1) + "\n").encode()
    picture = ladder_svg(found.ladder, found.picks, units).encode()
    return dict(zip(advice_names(found.ladder.entry), (answer, picture), strict=True))
