"""The colours of every picture, chosen for white paper, and told apart by lightness as well as by hue."""

from __future__ import annotations

PAPER = "#ffffff"
INK = "#1b2126"
QUIET = "#565f66"
LINE = "#c3c9cd"
FAINT = "#eef0f1"
BONE = "#f6efdc"
BONE_EDGE = "#8b7b5a"

MEAT = "#a5352e"
GROUND = "#d98a6c"
FAT = "#f0d9a3"
BONES = "#8d99a1"
LOSS = "#d5dade"

READY = "#a8cfc0"
WAIT = "#dfe4e7"
CUT = "#8c2f39"
TARGET = "#1f5c4c"
BAND = "#b9d3e6"
CURVE = "#1d4e79"
OVER = "#b23a12"

_RAMP = ((250, 238, 228), (238, 190, 160), (212, 118, 94), (160, 48, 44))


def ramp(share: float) -> str:
    """From pale to deep red for 0 to 1; outside is clipped."""
    place = min(1.0, max(0.0, share)) * (len(_RAMP) - 1)
    low = min(int(place), len(_RAMP) - 2)
    mixed = (round(a + (b - a) * (place - low)) for a, b in zip(_RAMP[low], _RAMP[low + 1], strict=True))
    return "#" + "".join(f"{part:02x}" for part in mixed)


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two colours, 1 to 21 [Web Content Accessibility Guidelines 2.1, W3C, 2018]."""
    light, dark = sorted((_luminance(first), _luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
