"""Fees on top of the bill, and the chain from the live price to the counter."""

from __future__ import annotations

import pytest

from gambrel.measures import Entry, Findings
from gambrel.measures.units import kg_from_lb
from gambrel.price.fees import Fees, LiveChain, read_fees


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
