"""Write docs/published-tables.md: the cutout forecast held against published whole-carcass tables.

python tools/published_tables.py            write the page
python tools/published_tables.py --print    show it
"""

from __future__ import annotations

import sys
from pathlib import Path

from gambrel.breakdown.against_tables import Line, compare
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.ways import shipped_tree
from gambrel.standards.cutouts import CutoutTable, cutout_tables

PAGE = Path(__file__).resolve().parents[1] / "docs" / "published-tables.md"

HEAD = """# The forecast against published tables

Written by `python tools/published_tables.py`; a test fails when this page is not what the tool writes.

Each published animal is forecast as grain-finished cattle with no more than its table tells, hung for no days,
cut the nearest way the shop's ways allow. Primals should lie within 1.5 points; what is sold, the fat and the bone
within 5 % where the table tells how it was cut. The tables disagree with each other more than the forecast
disagrees with any of them: a fed steer of yield grade 3 is said to give 65 to 79 % of its carcass, and how lean
the ground is made, how much fat stays on and which bones stay in make nearly all of the difference.
"""


def page() -> str:
    """The whole page as text."""
    kinds, tree, cuts = shipped_kinds(), shipped_tree(), shipped_cuts()
    parts = [HEAD]
    for table in cutout_tables().values():
        parts.append(_section(table, compare(table, kinds=kinds, tree=tree, cuts=cuts)))
    return "\n".join(parts)


def _section(table: CutoutTable, lines: list[Line]) -> str:
    asked = ", ".join(f"{name} {value}" for name, value in {**table.known, **table.as_cut}.items())
    rows = [
        f"| {line.what} | {line.printed_pct:.1f} % | {line.forecast_pct:.1f} % | {line.miss_pct:+.1f} | "
        f"{line.allowed_pct:.1f} | {_verdict(table, line)} |"
        for line in lines
    ]
    return "\n".join(
        [
            f"## {table.cite()}",
            "",
            f"{table.hot_lb:g} lb hot; asked as: {asked or 'nothing known'}.",
            "",
            "| figure | printed | forecast | points apart | allowed | |",
            "|---|---:|---:|---:|---:|---|",
            *rows,
            "",
            table.why,
            "",
        ]
    )


def _verdict(table: CutoutTable, line: Line) -> str:
    if line.within:
        return "within"
    return "miss, see below" if table.basis_known else "miss; the cutting basis is not printed, see below"


if __name__ == "__main__":
    if "--print" in sys.argv[1:]:
        print(page())
    else:
        PAGE.write_text(page(), encoding="utf-8")
