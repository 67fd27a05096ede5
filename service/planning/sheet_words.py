"""The short words of a printed sheet: what a rule measures, where it stands, how its figure is known.

Names that the codes use among themselves (`keep_out`, `no_deployment`) are turned into words here.
"""

from __future__ import annotations

import re

from service.codes.quantities import QUANTITIES, with_statistic
from service.models.finding import Finding
from service.planning.plain_words import plain_words

KNOWN_WORDS = {
    "read": "read in a copy",
    "restated": "as restated elsewhere",
    "memory": "from memory",
    "practice": "common practice",
    "derived": "worked out from it",
}
SOURCE_MEANING = (  # explains, once a sheet, the words behind each source
    "Law, code, practice, club: who asks for it, in that order of force; a code is a national association's or "
    "standards body's, a practice is a habit of the sport that nobody is bound by. Read in a copy: the source itself "
    "was read. As restated elsewhere: another text quotes it. From memory: written down without the source at hand; "
    "look it up before you lean on it. Worked out from it: the source does not print this figure, it follows from it."
)
CLAUSE_WORDS = (  # long titles, as they are said for short
    (re.compile(r"^NAR Model Rocket Safety Code, items? ([\d and]*\d).*"), r"NAR model code \1"),
    (re.compile(r"^NAR High Power Rocket Safety Code, items? ([\d and]*\d).*"), r"NAR high-power code \1"),
    (re.compile(r"^the (?:organiser's limit|launch day's ceiling).*"), "the organiser"),
    (re.compile(r"^conditions of the certificate of waiver.*"), "certificate of waiver"),
    (re.compile(r"^(14 CFR [\d.]+(?:\([a-z0-9]+\))*).*"), r"\1"),
    (re.compile(r"^(NFPA \d+ [\d.]*\d).*"), r"\1"),
    (re.compile(r"^(NFPA \d+),? .*"), r"\1"),
)
MEANING_WORDS = (  # asides of a meaning that a list of clear checks can do without
    (re.compile(r", motors and propellant included"), ""),
    (re.compile(r" of all installed motors(?:, all stages)?"), ""),
    (re.compile(r" by the curve over that in the designation"), " over the label's"),
    (re.compile(r"^the chance of |^chance of "), "chance of "),
    (re.compile(r", planned mode"), ""),
    (re.compile(r"in a people zone"), "among people"),
    (re.compile(r"outside the boundary"), "outside"),
    (re.compile(r" where the guide ends"), " off the guide"),
    (re.compile(r"when the first device opens"), "at the first opening"),
    (re.compile(r"time between apogee and the first device, early or late"), "opening off the apogee by"),
    (re.compile(r"expected casualties of the flight, all modes"), "people struck a flight, however it ends"),
    (re.compile(r"chance that the most exposed person is struck, all modes"), "most exposed person struck"),
    (re.compile(r"kinetic energy of the heaviest section at landing"), "landing energy, heaviest section"),
    (re.compile(r"(?:the )?centre of the planned footprint lies in a people or parking zone"),
     "middle of the footprint over people or cars"),
    (re.compile(r"the planned ascent passes over a people zone"), "ascent passes over people"),
    (re.compile(r"the launcher leans toward a people or parking zone"), "launcher leans toward people or cars"),
    (re.compile(r"the flight goes above the highest wind known"), "flight goes above the winds"),
    (re.compile(r"no ejection charge and nothing else that opens a device"), "nothing that opens a device"),
    (re.compile(r"recovery devices that slow the descent"), "recovery devices"),
    (re.compile(r"pad to the nearest person or property with no part in the launch"), "pad to the nearest outsider"),
    (re.compile(r"pad to the nearest people"), "pad to people"),
    (re.compile(r"diameter cleared of dry grass around the pad"), "ground cleared of dry grass"),
    (re.compile(r"the flyer's high-power certification level, 0 for none"), "the flyer's certification level"),
    (re.compile(r"model rocket or high-power rocket"), "kind of rocket"),
    (re.compile(r" above the field"), ""),
)  # fmt: skip
CHECK_WORDS = {  # items at check-in, said for short; their full words stand at the end of the sheet
    "us-mr-materials": "Nose, body and fins light, no metal",
    "us-mr-motor": "Motors certified, commercial, unaltered",
    "us-mr-unproven": "Stability checked; spectators kept back",
    "us-mr-payload": "Not aimed; nothing aboard that burns",
    "us-mr-recovery": "Recovery packed to open; wadding in",
    "us-hpr-materials": "Airframe light; metal only where needed",
    "us-hpr-motor": "Motors certified, commercial, unaltered",
    "us-hpr-arming": "Charges and igniters inhibited until upright",
    "us-hpr-guidance": "Guide rigid, and long enough for the wind",
    "us-hpr-spark-clear": "Pad clear of all that sparks could light",
    "us-hpr-payload": "Not aimed; nothing aboard that burns",
    "us-hpr-recovery": "Recovery shielded; all parts fly again",
    "us-hpr-inspect": "Inspected; CP and CG shown on request",
    "us-class-1-materials": "Paper, wood or plastic; slow propellant",
    "adv-heads-up": "Flight announced; people stand and watch",
    "adv-double": "Distances doubled if odd or unproven",
}

def short_meaning(found: Finding) -> str:
    """What the rule measures, in a few words; '' where the rule has no quantity.

    The statistic it was measured by comes after: 'apogee, upper 95 %'.
    """
    quantity = QUANTITIES.get(found.quantity or "")
    if quantity is None:
        return ""
    name = with_statistic(quantity.name, found.statistic) if found.statistic in ("high", "low") else quantity.name
    meaning = QUANTITIES.get(name, quantity).meaning
    for long, short in MEANING_WORDS:
        meaning = long.sub(short, meaning)
    if isinstance(found.measured, bool):
        meaning += ": yes" if found.measured else ": no"
    return plain_words(meaning)


def note_words(found: Finding) -> str:
    """What a finding that is not clear adds to its sentence; that its one value is not known shows beside it."""
    note = plain_words(found.note).rstrip(".")
    if found.standing == "clear" or not note or note.endswith(" is not known"):
        return ""
    return f"{note[0].upper()}{note[1:]}."


def clause_words(clause: str) -> str:
    """Where a rule stands, in full.

    >>> clause_words("20 m/s at ejection; weak")
    '20 m/s at ejection, on little evidence'
    """
    return re.sub(r"; weak$", ", on little evidence", clause)


def short_source(found: Finding) -> str:
    """Where the rule stands, as short as it can be told apart."""
    clause = found.source.clause
    for long, short in CLAUSE_WORDS:
        if long.match(clause):
            return long.sub(short, clause)
    return "practice" if found.weight == "practice" else clause
