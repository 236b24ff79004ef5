"""Whether a picture in which no card can be used is simply badly lit: then a lamp helps, not a cleaner card."""

from __future__ import annotations

import numpy as np

from gambrel.ribface import refuse
from gambrel.ribface.plane import Picture
from gambrel.ribface.refuse import Reason, Refusal

SAMPLES = 200
"""Rows and columns looked at; a card fills many of them."""

BRIGHTEST_PCT = 99.5
"""The card's white is among the lightest half of a hundredth of the picture, or not far below it."""

WHITE = 250
"""Values of 255 from which red, green and blue together are pure white."""


def badly_lit(bgr: Picture) -> Refusal | None:
    """The refusal when nothing in the picture (H, W, 3) is as light as a card must be, or nearly all is white."""
    high, wide = bgr.shape[:2]
    seen = bgr[:: max(1, high // SAMPLES), :: max(1, wide // SAMPLES)]
    lightest = float(np.percentile(seen.max(axis=2), BRIGHTEST_PCT))
    if lightest < refuse.WHITE_DARK_LIMIT:
        return Refusal(Reason.TOO_DARK, f"the lightest part of the picture reads {lightest:.0f} of 255")
    white = float(np.mean(seen.min(axis=2) >= WHITE))
    if white > refuse.PICTURE_BLOWN_LIMIT_SHARE:
        return Refusal(Reason.BLOWN_OUT, f"{100 * white:.0f} % of the picture is pure white")
    return None
