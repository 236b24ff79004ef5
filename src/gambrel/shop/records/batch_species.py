"""Which species a batch holds, how much of each, and whether fat was added: what it leaves in the grinder is so too.

9 CFR 320.1(b)(4)(i)(C): the record of a lot names what was carried over into it from the lot before.
"""

from __future__ import annotations

from collections.abc import Iterable

from gambrel.catalog.cuts import shipped_cuts
from gambrel.grind.names import GROUND_NAMES
from gambrel.shop.records.models import Batch, BatchInput

Shares = tuple[tuple[str, float], ...]
"""Species and share of the weight, the most first."""


def standing_inputs(batch: Batch) -> list[BatchInput]:
    """What went into a batch and was not taken out again, in the order it was weighed."""
    rows = BatchInput.objects.standing().filter(batch=batch)
    return list(
        rows.select_related("weight__cutting__side__animal", "bought", "carried", "by")
        .prefetch_related("weight__cutting__lots")
        .order_by("at", "pk")
    )


def species_shares(batch: Batch) -> Shares:
    """Every species of a batch, by what was weighed into it; of an empty one, by its name in equal parts."""
    named = GROUND_NAMES[batch.name].species
    return shares_of_lines(standing_inputs(batch)) or tuple((one, 1.0 / len(named)) for one in named)


def shares_of_lines(lines: Iterable[BatchInput]) -> Shares:
    """Every species of these lines, ground together; none of no lines.

    What was carried over counts in its turn as what it was made of, whatever that batch is called. A batch is closed
    before any of it is carried over, so that none comes back to where it began.
    """
    kg: dict[str, float] = {}
    for line in lines:
        for species, share in line_shares(line):
            kg[species] = kg.get(species, 0.0) + share * float(line.weight_kg)
    total_kg = sum(kg.values())
    return tuple((one, kg[one] / total_kg) for one in sorted(kg, key=lambda one: -kg[one]))


def mixed(shares: Shares) -> Shares:
    """The shares as trim and the record take them: none where all is of one species."""
    return shares if len(shares) > 1 else ()


def line_shares(line: BatchInput) -> Shares:
    """A tub is of one species, off the block or out of a box; what was carried over is of those of its batch."""
    if line.carried is not None:
        return species_shares(line.carried)
    if line.bought is not None:
        return ((line.bought.species, 1.0),)
    assert line.weight is not None, "a line has one source; the database holds it so"
    lot = next(iter(line.weight.cutting.lots.all()), None)
    return ((lot.species if lot else "", 1.0),)


def holds_added_fat(lines: Iterable[BatchInput]) -> bool:
    """Whether fat went in as such (suet, cod fat), or in what was carried over.

    9 CFR 319.15(a) lets none into ground beef.
    """
    return any(_adds_fat(line) for line in lines)


def _adds_fat(line: BatchInput) -> bool:
    if line.carried is not None:
        return holds_added_fat(standing_inputs(line.carried))
    tub = line.weight or line.bought
    return tub is not None and is_fat(tub.slug)


def is_fat(slug: str) -> bool:
    """Whether a piece is fat as such; what has no piece's name, as ground meat, is not."""
    cut = shipped_cuts().get(slug)
    return cut is not None and cut.use == "fat"
