"""Why a photograph is not read, and what to do about it. A wrong figure is worse than none."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from gambrel.measures.findings import Finding


class Reason(Enum):
    """Every reason, with what was wanted and what to do."""

    NO_CARD = (
        "no scale card in the photograph",
        "the card beside the eye, with at least two of its four markers seen",
        "take it again with the card in the picture, or give a length by hand, or leave the sizes out",
    )
    TOO_LITTLE_CARD = (
        "too little of the scale card is seen",
        "at least two of the card's four markers, clean and whole",
        "move the hand off the corners, wipe the card, and take it again",
    )
    TWO_CARDS = (
        "more than one scale card is in the picture",
        "one card, beside the eye",
        "take one card away and take it again, or give a length by hand",
    )
    CARD_TILTED = (
        "the card is seen too much from the side",
        "a picture taken square on to the cut face",
        "hold the phone square on to the face and take it again",
    )
    CARD_NOT_FLAT = (
        "the card is bent or does not lie flat",
        "a flat card in the plane of the cut face",
        "press the card flat against the face, or use a stiffer one, and take it again",
    )
    EYE_CUT_OFF = (
        "the eye runs out of the picture",
        "the whole eye with its cover fat inside the frame",
        "step back until the whole face and the card are in the picture",
    )
    BLURRED = (
        "the picture is blurred",
        "edges on the card that are sharp",
        "wipe the lens, hold still, tap the face to focus, and take it again",
    )
    TOO_DARK = (
        "the picture is too dark",
        "a card that looks white and a face in which lean and fat can be told apart",
        "turn on a lamp or the phone's own light from the side, and take it again",
    )
    BLOWN_OUT = (
        "the picture is blown out",
        "light in which neither the card nor the fat is pure white",
        "move the lamp away, turn off the flash, and take it again",
    )
    TOO_SMALL = (
        "the face is too small in the picture",
        "a picture in which the eye is at least a few hundred pixels long",
        "step closer, or send the original picture, not a reduced copy",
    )
    NOT_A_RIB_FACE = (
        "no rib face is found",
        "a cut rib face with its eye bared",
        "take the cut face alone, or tap inside the eye",
    )
    TWO_FACES = (
        "more than one rib face is in the picture",
        "one face to a picture",
        "take each face by itself, or tap inside the eye to be read",
    )
    UNREADABLE = (
        "the picture cannot be read",
        "an eye whose edge can be followed",
        "take it again, tap inside the eye, or draw the outline by hand",
    )

    def __init__(self, sentence: str, wanted: str, do: str) -> None:
        self.sentence = sentence
        self.wanted = wanted
        self.do = do


@dataclass(frozen=True, slots=True)
class Refusal:
    """A photograph that is not read; `given` says what was seen, in words."""

    reason: Reason
    given: str

    def finding(self, where: str) -> Finding:
        """The refusal as a finding at `where` (the photograph's name)."""
        return Finding(where=where, given=self.given, wanted=self.reason.wanted, do=self.reason.do)

    def sentence(self) -> str:
        return f"{self.reason.sentence}: {self.given}; {self.reason.do}"


MARKERS_NEEDED = 2
"""Fewest markers that give scale and perspective."""

TILT_LIMIT_DEG = 30.0
"""Above this the card is seen too much from the side."""

TILT_WARNING_DEG = 20.0

FLAT_LIMIT_MM = 0.30
"""Root mean square distance of marker corners from the plane's grid; more means bent, or not our card."""

FLAT_LIMIT_PX = 1.3
"""And as much in pixels of the picture: in a small picture corners are not found closer."""

LEANING_DEG, LEANING_SHARE = 20.0, 0.06
"""A card that looks tilted by so much and out of its proportions by so much leans against the face."""

FLAT_WARNING_MM = 0.10

PRINT_LIMIT_SHARE = 0.03
"""Length against height of the card may differ this much before a warning."""

BAR_LIMIT_MM = 0.8
"""The 50 mm check bar may differ this much from 50 mm before a warning."""

BLUR_LIMIT_MM = 1.4
"""Width of a black-white edge on the card, 10 to 90 % of its light; more and flecks and threads melt into the lean."""

BLUR_WARNING_MM = 0.7

WHITE_DARK_LIMIT = 70.0
"""Card white below this value of 255 is too dark."""

BLOWN_WARNING_SHARE = 0.35
"""Share of the card's white at full value before a warning."""

CLIPPED_PATCHES_LIMIT = 1
"""More grey patches than this at full value: fat and lean can no longer be told from glare."""

PICTURE_BLOWN_LIMIT_SHARE = 0.75
"""A picture without a card of which more than this is pure white is blown out; a white table alone is less."""

FACE_BLOWN_LIMIT_SHARE = 0.10
"""Share of the eye at full value that is blown out."""

COARSE_LIMIT_MM_PER_PX = 0.62
"""Coarser pictures are not measured."""

EYE_AREA_CM2 = (17.0, 190.0)
"""An eye outside this is not a rib eye of any of the four kinds (dairy calves to the largest Wagyu)."""

EYE_ACROSS_SHARE = (0.25, 0.97)
"""Width of the eye over its length."""

EYE_SOLID_SHARE = 0.80
"""Area of the eye over that of its convex hull, at least."""

FRAME_MARGIN_SHARE = 0.005
"""An eye nearer to the frame than this share of the picture's longer side is cut off."""

LIKELY_CUT_SHARE = 0.03
"""An eye nearer than this is cut off where the network says so too."""

ALONG_FRAME_SHARE, ALONG_FRAME_LIMIT = 0.015, 0.10
"""An outline that runs this near to the frame for so much of its length is cut off."""

COVERED_LIMIT_SHARE = 0.06
"""Share of the eye's edge under a hand or the card; more and its shape is a guess."""
