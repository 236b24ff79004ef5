"""The invoice of a share to print: every line with its weight and price, the deposit, what is due."""

from __future__ import annotations

from collections.abc import Sequence

from gambrel.files.sheets.inputs import Head
from gambrel.files.sheets.pdf_out import heading
from gambrel.files.sheets.typeset import typeset, words_shown
from gambrel.measures import Estimate
from gambrel.measures.money import cents_per_lb, show_money
from gambrel.measures.units import lb_from_kg
from gambrel.sell.share_bill import BillForecast, BillLine, ShareBill

LEAST_KG = 0.05
CUSTOM = "NOT FOR SALE: this meat is for its owner, the owner's household, guests and employees only."


def share_invoice_pdf(
    head: Head, *, bill: ShareBill | None, forecast: BillForecast, taken_kg: Estimate, owner: str, animal: str,
    portion: str, hot_kg: float, deposit_cents: int, custom: bool, pieces: Sequence[tuple[str, Estimate]],
    paper: str = "letter",
) -> bytes:  # fmt: skip
    """The bill once it is made; before, the forecast with its intervals and no amount that looks like one due."""
    facts = [("for", owner), ("share", f"{portion} of animal {animal}"), ("hot weight", _weight(hot_kg))]
    if bill is not None:
        facts += [("taken home", _weight(bill.taken_kg)), ("due", show_money(bill.due_cents))]
        rows, columns = [_line(line) for line in bill.lines], ["what", "weight", "price", "amount"]
        rows.append(["due", "", "", show_money(bill.due_cents)])
        notes: list[str] = []
    else:
        charged = forecast.charged_cents
        facts += [("expected to be taken home", _span(taken_kg)),
                  ("expected to be charged", f"{show_money(charged.p05)} to {show_money(charged.p95)}"),
                  ("deposit", show_money(deposit_cents))]  # fmt: skip
        rows = [[name, _span(kg), "", ""] for name, kg in pieces if kg.mean >= LEAST_KG]
        columns = ["cut", "expected, 90 %", "", ""]
        notes = ["A forecast, not an invoice: weights are known once the animal is cut and packed."]
    data = {
        **heading(head, [*notes, *([CUSTOM] if custom else [])], [(name, words_shown(said)) for name, said in facts]),
        "columns": columns,
        "rows": [[words_shown(text) for text in row] for row in rows],
    }  # fmt: skip
    return typeset("share", data, {}, paper=paper, made_on=head.made_on)


def _line(line: BillLine) -> list[str]:
    weight = "" if line.weight_kg is None else _weight(line.weight_kg)
    price = ""
    if line.cents_per_kg is not None:
        price = f"{show_money(cents_per_lb(line.cents_per_kg))}/lb · {show_money(line.cents_per_kg)}/kg"
    return [line.what, weight, price, show_money(line.amount_cents)]


def _weight(weight_kg: float) -> str:
    return f"{lb_from_kg(weight_kg):.1f} lb · {weight_kg:.1f} kg"


def _span(kg: Estimate) -> str:
    return f"{lb_from_kg(kg.p05):.1f}–{lb_from_kg(kg.p95):.1f} lb · {kg.p05:.1f}–{kg.p95:.1f} kg"
