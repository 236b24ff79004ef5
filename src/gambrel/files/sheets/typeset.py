"""A template and its data set as a PDF. Data goes in as JSON and is only ever shown, never run."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from importlib import resources
from typing import Any

PAPERS = {"letter": "us-letter", "a4": "a4"}


def typeset(
    template: str, data: Mapping[str, Any], pictures: Mapping[str, str], *, paper: str, made_on: date
) -> bytes:
    """PDF bytes of `templates/<template>.typ`; the same values give the same bytes.

    `pictures` maps a file name such as "week-1.svg" to SVG text. `paper` is letter or a4. Only the fonts that
    the typesetter brings are used, and nothing is fetched.
    """
    import typst

    if paper not in PAPERS:
        raise ValueError(f"paper is one of {', '.join(PAPERS)}, not {paper}")
    folder = resources.files("gambrel.files.sheets").joinpath("templates")
    bundle = {
        "main.typ": folder.joinpath(f"{template}.typ").read_bytes(),
        "frame.typ": folder.joinpath("frame.typ").read_bytes(),
        "data.json": json.dumps({**data, "paper": PAPERS[paper]}, allow_nan=False).encode("utf-8"),
        **{name: svg.encode("utf-8") for name, svg in pictures.items()},
    }
    midnight = int(datetime(made_on.year, made_on.month, made_on.day, tzinfo=UTC).timestamp())
    compile_bundle: Any = typst.compile  # its stub leaves out that a dict of files is taken
    pdf: bytes = compile_bundle(bundle, format="pdf", ignore_system_fonts=True, timestamp=midnight)
    return pdf
