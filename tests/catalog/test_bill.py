"""The bill: four ways to pay, the kill fee, and what a slip in it says."""

from __future__ import annotations

import pytest

from gambrel.catalog.bill import Bill, read_bill
from gambrel.measures import Entry, Findings
from gambrel.measures.units import kg_from_lb


def bill_of(fields, hot_lb=750.0, kill_fee_cents=0):
    findings = Findings()
    hot_kg = None if hot_lb is None else kg_from_lb(hot_lb)
    entry = Entry(fields, "bill", findings)
    return read_bill(entry, hot_kg=hot_kg, kill_fee_cents=kill_fee_cents), list(findings)


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


def test_the_kill_fee_comes_on_top_of_what_was_paid():
    bill, _ = bill_of({"rail": "4.10/lb"}, kill_fee_cents=12_500)
    assert bill == Bill("rail", 307_500, None, 12_500)  # 750 lb at 4.10
    assert bill.total_cents == 320_000
    assert Bill("head", 240_000).total_cents == 240_000


def test_without_a_live_weight_nothing_is_known_of_the_dressing():
    assert Bill("rail", 307_500).dressing_share(340.0) is None


def test_a_rail_bill_waits_for_the_hot_weight_without_a_finding_of_its_own():
    assert bill_of({"rail": "4.10/lb"}, hot_lb=None) == (None, [])
    head, findings = bill_of({"head": "$2400.00"}, hot_lb=None)
    assert (head.paid_cents, findings) == (240_000, [])


@pytest.mark.parametrize(
    ("live", "good"), [("1000lb", True), ("2400lb", True), ("900lb", False), ("2600lb", False)]
)
def test_live_and_hot_weight_belong_together(live, good):
    """750 lb hot is 75 % of 1000 lb and 31 % of 2400 lb; 83 % and 29 % are slips."""
    bill, findings = bill_of({"head": "$2400.00", "live_weight": live})
    assert (bill is not None) is good
    assert [finding.where for finding in findings] == ([] if good else ["bill, live_weight"])
    assert all("dresses" in finding.given for finding in findings)
