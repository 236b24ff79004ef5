"""Prints what every style of the ways files comes to, so that whoever edits them sees what a change does.

Run from the root of the project: `.venv/bin/python tools/tree_totals.py`
"""

from __future__ import annotations

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import SPECIES
from gambrel.catalog.tree_totals import minutes_per_100kg, primal_shares, totals
from gambrel.catalog.ways import Tree, shipped_tree

COLUMNS = ("saleable", "ground", "fat", "bone", "loss", "4 primals", "hours")
CARCASS_KG = 340.0


def style_line(tree: Tree, name: str, species: str) -> str:
    """One line of the table: per cent of the side, and man-hours for a carcass of 340 kg."""
    chosen = tree.style(name, species)
    sums = totals(tree, shipped_cuts(), chosen, species)
    hours = sum(minutes_per_100kg(tree, shipped_cuts(), chosen, species).values()) * CARCASS_KG / 100 / 60
    shares = (sums.saleable_share, sums.ground_share, sums.fat_share, sums.bone_share, sums.loss_share,
              sums.four_primal_cuts_share)  # fmt: skip
    return f"{name:<20}{species:<8}" + "".join(f"{share:>10.2%}" for share in shares) + f"{hours:>10.1f}"


def main() -> None:
    """Print the table of styles, then the primals of each species."""
    tree = shipped_tree()
    print(f"{'style':<20}{'species':<8}" + "".join(f"{column:>10}" for column in COLUMNS))
    for species in SPECIES:
        for name in tree.styles:
            print(style_line(tree, name, species))
    for species in SPECIES:
        shares = primal_shares(tree, tree.style("boneless", species), species)
        print(f"\n{species}: " + ", ".join(f"{primal} {share:.1%}" for primal, share in shares.items()))


if __name__ == "__main__":
    main()
