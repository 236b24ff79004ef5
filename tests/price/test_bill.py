"""Bill and fees, and the chain from the live price to the counter."""

from __future__ import annotations

import pytest

from gambrel.measures import Entry, Findings
from gambrel.measures.units import kg_from_lb
from gambrel.price.bill import Fees, LiveChain, read_bill, read_fees


def bill_of(fields, hot_lb=750.0):
    findings = Findings()
    hot_kg = None if hot_lb is None else kg_from_lb(hot_lb)
    return read_bill(Entry(fields, "bill", findings), hot_kg=hot_kg), list(findings)


def test_live_chain_first_figure_as_printed():
    """Pricing your meat cuts, Penn State Extension, 2011: 1.35 live at 58 % is 2.328 a hanging lb."""
    chain = LiveChain(135, 0.58, 90, 0.65, 0.30)
    assert chain.hot_cents_per_kg == pytest.approx(232.8, abs=0.1)


def test_live_chain_carried_on_by_its_steps():
    """The same publication's steps; the later figures are its arithmetic done by hand."""
    chain = LiveChain(135, 0.58, 90, 0.65, 0.30)
    assert chain.hung_with_fees_cents_per_kg == pytest.approx(322.8, abs=0.1)
    assert chain.take_home_cents_per_kg == pytest.approx(496.6, abs=0.1)
    assert chain.retail_cents_per_kg == pytest.approx(709.4, abs=0.1)


@pytest.mark.parametrize(
    ("fields", "cents"),
    [
        ({"live": "1.35/lb", "live_weight": "1210lb"}, 163_350),
        ({"rail": "4.10/lb"}, 307_500),
        ({"head": "$2400.00"}, 240_000),
        ({"raised": "$2,100.00"}, 210_000),
    ],
)
def test_four_ways_to_pay(fields, cents):
    bill, findings = bill_of(fields)
    assert findings == []
    assert bill.basis == next(iter(fields))
    assert bill.paid_cents == cents
    assert type(bill.paid_cents) is int


def test_dressing_share_follows_from_both_weights():
    """Primal and subprimal weights and yields, 2013: 1300 lb live, 806 lb carcass, 62 %."""
    bill, _ = bill_of({"live": "1.35/lb", "live_weight": "1300lb"}, hot_lb=806)
    assert bill.dressing_share(kg_from_lb(806)) == pytest.approx(0.62, abs=0.0005)


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"live": "1.35/lb"},
        {"live": "1.35/lb", "live_weight": "1210lb", "head": "$2400.00"},
        {"live": "1.35/lb", "live_weight": "5000lb"},
        {"live": "1.35/lb", "live_weight": "760lb"},
        {"rail": 4.10},
        {"head": "2400"},
        {"raised": "-$5.00"},
        {"gift": "yes"},
    ],
)
def test_bills_that_are_findings(fields):
    bill, findings = bill_of(fields)
    assert bill is None
    assert findings


def test_fees_by_the_head_and_by_weight():
    findings = Findings()
    fees = read_fees(
        Entry({"kill": "$120.00", "trucking": "$60.00", "cut_wrap": "0.85/lb"}, "fees", findings)
    )
    assert not findings
    assert fees.total_cents(hot_kg=kg_from_lb(750), hung_kg=kg_from_lb(710)) == 18_000 + 63_750
    on_hung = Fees(fees.head_cents, fees.cut_wrap_cents_per_kg, "hung")
    assert on_hung.total_cents(hot_kg=kg_from_lb(750), hung_kg=kg_from_lb(710)) == 18_000 + 60_350
    assert on_hung.cut_wrap_cents_per_hot_kg(loss_share=0.1) == pytest.approx(
        0.9 * fees.cut_wrap_cents_per_kg
    )
