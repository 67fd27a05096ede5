"""Filling the form of an entry as a flyer does: by the words on the page."""

from __future__ import annotations

from typing import Any

CURVE = "time_s,thrust_n\n0,0\n0.2,14\n0.4,5\n1.6,4.8\n1.7,0\n"
TYPED = {
    "/rocket/name": "Chimango", "/rocket/mass_kg": "60", "/rocket/length_m": "420", "/rocket/diameter_m": "25",
    "/rocket/mount/diameter_m": "18", "/rocket/mount/length_m": "70", "/rocket/cg_from_nose_m": "220",
    "/rocket/airframe/nose/length_m": "80", "/rocket/airframe/fins/0/count": "3",
    "/rocket/airframe/fins/0/leading_edge_from_nose_m": "360", "/rocket/airframe/fins/0/root_chord_m": "50",
    "/rocket/airframe/fins/0/tip_chord_m": "30", "/rocket/airframe/fins/0/span_m": "40",
    "/rocket/airframe/fins/0/sweep_m": "20", "/rocket/airframe/fins/0/thickness_m": "2",
    "/own/maker": "Home", "/own/designation": "C6", "/own/diameter_m": "18", "/own/length_m": "70",
    "/own/loaded_mass_kg": "24", "/own/propellant_mass_kg": "11", "/own/delays": "3, 5", "/own/thrust_curve": CURVE,
    "/delay_s": "5", "/main/diameter_m": "300", "/flyer/name": "Ada Example",
}  # fmt: skip
CHOSEN = {"/motor": "own", "/own/propellant": "black_powder", "/pad": "A1"}
FOLDED = ("Nose, fins and balance point", "A motor of my own")


def unfold(page: Any, words: str) -> None:
    """Open a folded part, as a tap on its words does."""
    part = page.locator("details", has=page.locator("summary", has_text=words)).first
    if part.get_attribute("open") is None:
        part.locator("summary", has_text=words).first.click()


def fill(page: Any, changed: dict[str, str] | None = None) -> None:
    """Type a new rocket with a motor of its own. `changed` replaces what is typed, by field."""
    for words in FOLDED:
        unfold(page, words)
    for name, value in CHOSEN.items():
        page.locator(f'[name="{name}"]').select_option(value)
    for name, value in TYPED.items():
        page.locator(f'[name="{name}"]').fill(value)
    page.get_by_label("I am 18 or older").check()
    for name, value in (changed or {}).items():
        page.locator(f'[name="{name}"]').fill(value)
