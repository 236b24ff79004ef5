"""The rib-face photographs of the invented shop, shipped with the package; rendered, of no real animal.

`tools/faces/demo_faces.py` made them; their seeds and truth stand in the index beside them.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from importlib import resources
from typing import Any

_FOLDER = "demo_faces"


def demo_index() -> dict[str, Any]:
    """Size, quality and, under `photographs`, file, animal, half, kind, seed and the truth of each."""
    text = resources.files("gambrel.files").joinpath(_FOLDER, "index.json").read_text("utf-8")
    index: dict[str, Any] = json.loads(text)
    return index


def demo_photographs() -> Iterator[tuple[str, bytes]]:
    """File name and JPEG bytes of every photograph."""
    folder = resources.files("gambrel.files").joinpath(_FOLDER)
    for one in demo_index()["photographs"]:
        yield one["file"], folder.joinpath(one["file"]).read_bytes()
