"""The words of the gallery page; its pictures, figures and refusals are made by `gallery.py`."""

from __future__ import annotations

from gambrel.ribface.refuse import Reason

OPENING = """# Pictures of a reading

How a photograph of the cut face becomes figures, step by step, then the four kinds, then what goes wrong and what the
program says to it. The command and the figures are on [the rib face page](ribface.md).

Every picture here is drawn by our own program from a seed that was held back from training: no photograph of anyone's
carcass is shown, and the true figures are known. The page is made by `python tools/faces/gallery.py`; every figure and
every sentence in it is what `gambrel ribface` answered.

## Step by step
"""

STAGES: dict[str, tuple[str, str]] = {
    "photograph": ("The photograph", "As it came from the phone, turned the right way up: face, cover fat and card."),
    "card": (
        "The card and its plane",
        "Red: corner squares seen. Orange: the card's edge. White: the card's plane as squares of one "
        "centimetre, carried "
        "over the face. A card that does not lie in the plane of the cut makes these squares, and every size, wrong.",
    ),
    "square-on": (
        "Seen square on",
        "The face as if the phone had been held straight in front of it: a millimetre is now as long everywhere. "
        "It is turned as the card lies.",
    ),
    "light": (
        "The light set right",
        "The grey squares of the card are known, so the colour of the lamp and the phone's own doings are taken out.",
    ),
    "network": (
        "What the network sees",
        "Left the close-up it is given, right what it takes each place for: the eye is red, other muscle "
        "plum, fat cream, "
        "bone white, the card blue, a hand green, all else grey.",
    ),
    "outline": (
        "Outline, length and width",
        "Area is what lies within the outline. Length is the longest line across the eye; width is square to it.",
    ),
    "fat-line": (
        "The fat line",
        "The dots quarter the length. Fat is measured at the third of them from the chine end, square to the outside.",
    ),
    "marbling": (
        "Fat, pixel by pixel",
        "Above the eye, below how far each pixel lies on the way from lean (black) to fat (white). What "
        "counts as fat is "
        "yellow; marbling is its share of the eye.",
    ),
    "finished": (
        "The finished picture",
        "What `gambrel ribface --picture` draws. Look at it before you trust the figures.",
    ),
}  # fmt: skip

KINDS = {"bison": "Bison", "grass": "Grass-finished", "grain": "Grain-finished", "wagyu": "Wagyu"}

CHOSEN = """These four were picked because they are clear to look at and were read well: they show what a
reading is, not how good it is on the whole. In brackets the figures that the face was drawn with.
"""

WRONG: dict[str, tuple[str, Reason, str]] = {
    "no_card": ("No card", Reason.NO_CARD, "Without the card there is no scale. Marbling and colour can still be read "
                "with `--no-scale`, or sizes with `--length`."),
    "card_hidden": ("The card is covered", Reason.TOO_LITTLE_CARD, "Hold the card by its middle or its edge; blood and "
                    "fingers on the corner squares hide them."),
    "card_tilted": ("Seen from the side", Reason.CARD_TILTED,
                    "A little tilt is measured and taken out. So much is not."),
    "eye_cut_off": ("The eye runs out of the picture", Reason.EYE_CUT_OFF,
                    "Step back: what is outside cannot be measured."),
    "blurred": ("Blurred", Reason.BLURRED,
                "Moist air on a cold lens is the usual cause. Wipe it, and let the phone get as "
                "cold as the room."),
    "too_dark": ("Too dark", Reason.TOO_DARK, "More light, from the side."),
    "blown_out": ("Blown out", Reason.BLOWN_OUT, "What is pure white has no detail left: wet meat under a flash."),
    "not_a_rib_face": ("Not a rib face", Reason.NOT_A_RIB_FACE, "Other cuts and ground meat have no eye to measure."),
    "two_animals": ("Two faces", Reason.TWO_FACES,
                    "The program does not guess which is meant: one at a time, or `--seed`."),
}  # fmt: skip

CLOSING = """## How to hold the card

- **Clean.** Wipe both sides; blood on a corner square hides it, and a greasy grey square spoils the colour.
- **Flat.** Press it on. A card that is bent has no plane.
- **Beside the eye**, not on it, and not across the cover fat that is to be measured.
- **In the plane of the cut.** Not on the fat cover, the chine or the table in front of the face.
- By its edge or its middle, fingers off the four corner squares and the grey row.
- Printed at 100 %: the black bar is 50 mm by the ruler.

## Ribbing and bloom

Rib cleanly and straight down, square to the long axis of the loin: a slanted cut makes the eye look larger (common
practice). Wipe off bone dust and loose blood, do not rinse: water shines.

Fresh-cut lean is dark and purple; it brightens as it takes up air. The grade standard has the face judged no sooner
than **10 minutes** after ribbing. Lightness was found steady by about 30 minutes, redness and yellowness by about 78.
So: ten minutes before marbling is read, the same time for all sides of a day, and half an hour or more where colour
itself is compared.

## Care

- **Knife and saw:** put them down, out of reach and not on the rail, before the phone comes out. Wear the cut glove on
  the hand that steadies the side.
- **Hanging sides swing.** Steady the side before you step in front of it; do not stand under the rail.
- **Wet, cold floor:** stand still to take the picture; do not walk backwards to get more in. Step back, then look.
- **Cold:** gloves off only for the picture. A cold phone mists over where the air is warmer.
- **Clean hands, clean card:** card and phone touch nothing that touches meat. Clean and sanitise the card between
  carcasses. What may touch a carcass is for your food-safety plan and the inspector in charge.

## Sources

- Bloom of 10 minutes: United States Standards for Grades of Carcass Beef, US Department of Agriculture (7 CFR 54).
- Steady colour by 30 and 78 minutes: Measuring muscle color on beef carcasses using the L\\*a\\*b\\* color space,
  Journal of Animal Science, 1999 (abstract read).
- Holding the card, ribbing, care: common practice.

## What the pictures do not show

Drawn faces are tidier than real ones. How sure the reading is on held-back drawings and on real photographs stands on
[the rib face page](ribface.md). Figures are the shop's own estimates; only a licensed grader gives an official grade.
"""
