"""Colours by the part they play, on light and on dark ground; each text colour holds 7:1 (WCAG 2.2, 1.4.6).

A field notebook: white paper, near-black ink, one deep accent. A standing is never told by colour alone.
"""

from __future__ import annotations

from typing import Literal

Role = Literal["ink", "soft", "rule", "paper", "accent", "clear", "caution", "stop", "unknown", "tint", "ghost"]

LIGHT: dict[Role, str] = {
    "ink": "#1a1916",
    "soft": "#4a4740",
    "rule": "#8d887c",
    "paper": "#ffffff",
    "accent": "#123f5f",
    "clear": "#0b5138",
    "caution": "#6a4200",
    "stop": "#8c1420",
    "unknown": "#4d2c7c",
    "tint": "#ebe7dd",
    "ghost": "#efece4",
}
DARK: dict[Role, str] = {
    "ink": "#f4f1e8",
    "soft": "#c9c4b6",
    "rule": "#8d887c",
    "paper": "#171613",
    "accent": "#9fcbe8",
    "clear": "#8fd9b6",
    "caution": "#f0bf6a",
    "stop": "#ffa9a6",
    "unknown": "#cdb4f7",
    "tint": "#322f28",
    "ghost": "#24221d",
}
TEXT_ROLES: tuple[Role, ...] = ("ink", "soft", "accent", "clear", "caution", "stop", "unknown")


def luminance(colour: str) -> float:
    """Relative luminance of '#rrggbb', as WCAG 2.2 defines it."""
    channels = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21, as WCAG 2.2 defines it."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)
