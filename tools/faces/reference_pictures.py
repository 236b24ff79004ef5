"""Measure the reference pictures of marbling degrees that `gambrel.ribface.degree` rests on.

    python tools/faces/reference_pictures.py FOLDER

FOLDER holds standard_small.png, standard_modest.png and standard_slightly_abundant.png, which are not ours to hand on.
"""

from __future__ import annotations

import sys
from pathlib import Path

import cv2
import numpy as np

from gambrel.ribface.degree import REFERENCE_PICTURES
from gambrel.ribface.read import read_ribface
from gambrel.ribface.reading import Reading

NAMES = ("standard_small", "standard_modest", "standard_slightly_abundant")


def measured(folder: Path) -> list[float]:
    """Marbling share [% of the eye] of each picture."""
    shares = []
    for name in NAMES:
        picture = cv2.imread(str(folder / f"{name}.png"))
        if picture is None:
            raise SystemExit(f"{folder / name}.png cannot be read")
        reading = read_ribface(np.asarray(picture, np.uint8), scale=False)
        if not isinstance(reading, Reading):
            raise SystemExit(f"{name}: {reading.sentence()}")
        shares.append(reading.marbling_pct)
    return shares


if __name__ == "__main__":
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    for name, share, (kept, score) in zip(
        NAMES, measured(Path(sys.argv[1])), REFERENCE_PICTURES, strict=True
    ):
        print(f"{name}: {share:.2f} % of the eye (kept: {kept:.2f}), score {score:.0f}")
