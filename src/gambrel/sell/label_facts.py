"""What is known of a pack when its label is made."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import Cut
from gambrel.grind.names import GROUND_NAMES, GroundName
from gambrel.sell.nutrition_panel import Panel, panel
from gambrel.sell.pack_code import PackCode
from gambrel.sell.weights import PrintedWeight

PREPRINTED = ("legend", "safe-handling", "maker")
"""What the roll of labels may bring already printed. Only approved stock has the legend."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What a ground product is: its name's slug, the lean stated, the fat expected, what went in.

    `species` of what is in it, the larger share first. `fat_tested` when a test of the batch is on record.
    `ground_on` as the grinding record has it.
    """

    name_slug: str
    lean_pct: float
    fat_pct: float
    species: tuple[str, ...]
    ground_on: date
    fat_tested: bool = False

    @property
    def name(self) -> GroundName:
        return GROUND_NAMES[self.name_slug]


@dataclass(frozen=True, slots=True)
class Origin:
    """Where the animal was born, raised, killed and cut, as country codes such as "US"; "" when not on record."""

    born: str = ""
    raised: str = ""
    killed: str = ""
    cut: str = ""

    @property
    def steps(self) -> tuple[str, str, str, str]:
        return self.born, self.raised, self.killed, self.cut


@dataclass(frozen=True, slots=True)
class Proof:
    """What supports a claim: the claim's slug, the approval or certificate, and the day it ends."""

    claim: str
    number: str
    until: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelFacts:
    """One pack. Prices in cents per `printed.unit`; None where it carries none.

    `inspected` is federal, state or custom; `packed_under_inspection` whether this packing was. `more_words` are
    the shop's own lines on the label, such as the kind. `aged_days` is what the label says, `hung_days` what the
    hanging log says. `stock` is what the roll of labels has on it already. `second_name` is the name in the
    country's other language. `today` is the day the label is printed.
    """

    name: str
    species: str
    inspected: str
    printed: PrintedWeight
    packed_on: date
    today: date
    lot: str
    serial: str
    maker: str = ""
    owner: str = ""
    gtin: str = ""
    price_cents: int | None = None
    total_cents: int | None = None
    use_by: date | None = None
    best_before: date | None = None
    frozen: bool = False
    was_frozen: bool = False
    tenderised: bool = False
    packed_under_inspection: bool = False
    out_of_state: bool = False
    interstate_programme: bool = False
    ingredients: tuple[str, ...] = ()
    more_words: tuple[str, ...] = ()
    grade_record: str = ""
    proofs: tuple[Proof, ...] = ()
    aged_days: int | None = None
    hung_days: int | None = None
    origin: Origin = Origin()
    says_origin: bool = False
    cut: Cut | None = None
    animals: tuple[Animal, ...] = ()
    srm_policy_bison: str = "as_cattle"
    ground: Ground | None = None
    nutrition_exempt_why: str = ""
    stock: frozenset[str] = frozenset()
    second_name: str = ""

    @property
    def is_custom(self) -> bool:
        return self.inspected == "custom"

    @property
    def panel(self) -> Panel | None:
        """Nutrition facts of a ground product at its stated fat; None for others, and where none are published."""
        if self.ground is None or len(set(self.ground.species)) != 1:
            return None
        return panel(self.ground.species[0], fat_pct=100.0 - self.ground.lean_pct)

    @property
    def words(self) -> str:
        """Everything the shop itself says on the label, in one line."""
        return " | ".join((self.name, *self.more_words))

    @property
    def code(self) -> PackCode:
        """What goes into the pack's code."""
        return PackCode(
            serial=self.serial, lot=self.lot, printed=self.printed, packed_on=self.packed_on, gtin=self.gtin,
            use_by=self.use_by, best_before=self.best_before, total_cents=self.total_cents,
        )  # fmt: skip
