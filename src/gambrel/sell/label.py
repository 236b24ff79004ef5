"""A label as the rules let it be: what it says, or which rule forbids it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from gambrel.grind.names import label_words
from gambrel.measures import CannotDo, Finding
from gambrel.measures.money import show_money
from gambrel.sell.label_facts import LabelFacts
from gambrel.sell.label_rules import CHECKS
from gambrel.sell.nutrition_panel import Panel
from gambrel.sell.pack_code import elements_of
from gambrel.sell.price_code import Layout, in_store_code
from gambrel.sell.rules import RuleBook

NOT_FOR_SALE = "NOT FOR SALE"
KEEP_FROZEN = "Keep frozen"
KEEP_COLD = "Keep refrigerated"
COOK = {
    "tenderised": "Mechanically tenderized. Cook to 145\u00a0°F (63\u00a0°C) by thermometer, let it rest 3 minutes.",
    "ground": "Cook to 160\u00a0°F (71\u00a0°C) by a thermometer.",
}
"""Tenderised: 9 CFR 317.2(e)(3), from memory; ground: general advice of the U.S. Department of Agriculture."""

SAFE_HANDLING = (
    "Safe Handling Instructions",
    "This product was prepared from inspected and passed meat and/or poultry. Some food products may contain bacteria "
    "that could cause illness if the product is mishandled or cooked improperly. For your protection, follow these "
    "safe handling instructions.",
    "Keep refrigerated or frozen. Thaw in refrigerator or microwave.",
    "Keep raw meat and poultry separate from other foods. Wash working surfaces (including cutting boards), utensils, "
    "and hands after touching raw meat or poultry.",
    "Cook thoroughly.",
    "Keep hot foods hot. Refrigerate leftovers immediately or discard.",
)
"""Heading, reason, and the four statements with a small picture each. The law's own wording [9 CFR 317.2(l)]."""

MONTHS = ("JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC")


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says, line by line; "" for what it does not say.

    `warnings` are for the person who prints. `elements` go into the square code and the bars, `in_store` are the
    digits of the shop's own code for its till, "" without.
    """

    name: str
    second_name: str
    more: tuple[str, ...]
    weight: str
    weight_beside: str
    price: str
    total: str
    packed: str
    until: str
    keep: str
    cook: str
    lot: str
    serial: str
    maker: str
    owner: str
    ingredients: str
    not_for_sale: bool
    safe_handling: bool
    panel: Panel | None
    elements: tuple[tuple[str, str], ...]
    in_store: str
    warnings: tuple[Finding, ...]


def look_over(facts: LabelFacts, book: RuleBook) -> tuple[list[Finding], list[Finding]]:
    """What the rules that hold say of these facts: what forbids the label, and what a person must look at."""
    forbids: list[Finding] = []
    warns: list[Finding] = []
    for slug, check in CHECKS.items():
        rule = book.get(slug)
        if rule is not None:
            (warns if rule.does == "warn" else forbids).extend(check(facts, rule))
    return forbids, warns


def make_label(facts: LabelFacts, book: RuleBook, *, layout: Layout | None = None, item: str = "") -> Label:
    """The label. `CannotDo` names every rule that forbids it.

    `layout` and `item`, the shop's own number of the cut, add the code of its till to a priced pack.
    """
    forbids, warns = look_over(facts, book)
    if forbids:
        raise CannotDo(forbids)
    priced = facts.price_cents is not None and facts.total_cents is not None
    return Label(
        name=facts.name.strip(),
        second_name=facts.second_name.strip(),
        more=_more(facts),
        weight=facts.printed.words,
        weight_beside=facts.printed.in_other_unit().words,
        price=f"{show_money(facts.price_cents)}/{facts.printed.unit}"
        if facts.price_cents is not None
        else "",
        total=show_money(facts.total_cents) if facts.total_cents is not None else "",
        packed=date_words(facts.packed_on),
        until=_until(facts),
        keep=_keep(facts, book),
        cook=_cook(facts, book),
        lot=facts.lot,
        serial=facts.serial,
        maker="" if "maker" in facts.stock else facts.maker.strip(),
        owner=facts.owner.strip(),
        ingredients=", ".join(facts.ingredients),
        not_for_sale=facts.is_custom and book.get("not-for-sale") is not None,
        safe_handling=_safe_handling(facts, book),
        panel=None if facts.is_custom else facts.panel,
        elements=elements_of(facts.code),
        in_store=_till_code(facts, layout, item) if layout is not None and priced else "",
        warnings=tuple(warns),
    )


def date_words(day: date) -> str:
    """ "15 JAN 2026": no two countries read it differently."""
    return f"{day.day:02d} {MONTHS[day.month - 1]} {day.year}"


def _more(facts: LabelFacts) -> tuple[str, ...]:
    lines = list(facts.more_words)
    if facts.ground is not None and not facts.is_custom:
        lines.insert(0, label_words(facts.ground.name, lean_pct=facts.ground.lean_pct, custom=False)[1])
    if facts.aged_days is not None:
        lines.append(f"Dry aged {facts.aged_days} days")
    if facts.says_origin:
        lines.append("Product of USA")
    return tuple(lines)


def _until(facts: LabelFacts) -> str:
    if facts.use_by is not None:
        return (
            f"Use or freeze by {date_words(facts.use_by)}"
            if not facts.frozen
            else f"Use by {date_words(facts.use_by)}"
        )
    return f"Best before {date_words(facts.best_before)}" if facts.best_before is not None else ""


def _keep(facts: LabelFacts, book: RuleBook) -> str:
    if book.get("keep-cold") is None:
        return ""
    return KEEP_FROZEN if facts.frozen else KEEP_COLD


def _cook(facts: LabelFacts, book: RuleBook) -> str:
    if facts.tenderised and book.get("tenderised") is not None:
        return COOK["tenderised"]
    return COOK["ground"] if facts.ground is not None else ""


def _safe_handling(facts: LabelFacts, book: RuleBook) -> bool:
    """Never on custom work, whose meat nobody inspected, whatever the switches say."""
    return (
        book.get("safe-handling") is not None and not facts.is_custom and "safe-handling" not in facts.stock
    )


def _till_code(facts: LabelFacts, layout: Layout, item: str) -> str:
    if layout.measure == "weight":
        value = int(facts.printed.net.scaleb(facts.printed.division.decimals_count))
    else:
        value = facts.total_cents or 0
    return in_store_code(layout, item=item, value=value)
