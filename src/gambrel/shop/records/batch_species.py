"""Which species a batch holds, how much of each, and whether fat was added: what it leaves in the grinder is so too.

9 CFR 320.1(b)(4)(i)(C): the record of a lot names what was carried over into it from the lot before.
"""

from __future__ import annotations

from dataclasses import dataclass

from gambrel.catalog.cuts import shipped_cuts
from gambrel.grind.names import GROUND_NAMES
from gambrel.shop.records.models import Batch, BatchInput

Shares = tuple[tuple[str, float], ...]
"""Species and share of the weight, the most first."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What is in a batch, or in one line of it. `holds_added_fat`: fat went in as such (suet, cod fat), here or in
    what was carried over; 9 CFR 319.15(a) lets none into ground beef."""

    shares: Shares
    holds_added_fat: bool = False

    @property
    def mixed(self) -> Shares:
        """The shares as trim and the record take them: none where all is of one species."""
        return self.shares if len(self.shares) > 1 else ()


def standing_inputs(batch: Batch) -> list[BatchInput]:
    """What went into a batch and was not taken out again, in the order it was weighed."""
    rows = BatchInput.objects.standing().filter(batch=batch)
    return list(
        rows.select_related("weight__cutting__side__animal", "bought", "carried", "by")
        .prefetch_related("weight__cutting__lots")
        .order_by("at", "pk")
    )


def contents_of(batch: Batch, lines: list[BatchInput] | None = None) -> Contents:
    """What is in a batch, by what was weighed into it; of an empty one, what its name says, in equal parts.

    What was carried over counts in its turn as what it was made of, whatever that batch is called. A batch is closed
    before any of it is carried over, so that none comes back to where it began. `lines` where they were asked for.
    """
    lines = standing_inputs(batch) if lines is None else lines
    if not lines:
        named = GROUND_NAMES[batch.name].species
        return Contents(tuple((one, 1.0 / len(named)) for one in named))
    kg: dict[str, float] = {}
    holds_added_fat = False
    for line in lines:
        held = contents_of_line(line)
        holds_added_fat = holds_added_fat or held.holds_added_fat
        for species, share in held.shares:
            kg[species] = kg.get(species, 0.0) + share * float(line.weight_kg)
    total_kg = sum(kg.values())
    shares = tuple((one, kg[one] / total_kg) for one in sorted(kg, key=lambda one: -kg[one]))
    return Contents(shares, holds_added_fat)


def contents_of_line(line: BatchInput) -> Contents:
    """A tub is of one species, off the block or out of a box; what was carried over is what its batch is."""
    if line.carried is not None:
        return contents_of(line.carried)
    if line.bought is not None:
        return Contents(((line.bought.species, 1.0),), is_fat(line.bought.slug))
    assert line.weight is not None, "a line has one source; the database holds it so"
    lot = next(iter(line.weight.cutting.lots.all()), None)
    return Contents(((lot.species if lot else "", 1.0),), is_fat(line.weight.slug))


def is_fat(slug: str) -> bool:
    """Whether a piece is fat as such; what has no piece's name, as ground meat, is not."""
    cut = shipped_cuts().get(slug)
    return cut is not None and cut.use == "fat"
