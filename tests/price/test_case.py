"""The price case as it is typed: what is read, and every slip listed at once."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.measures import CannotDo, Entry, Findings
from gambrel.measures.units import kg_from_lb, lb_from_kg
from gambrel.price.case import read_price_case
from gambrel.price.joint_cost import NET_REALISABLE


def wheres(refusal):
    return [finding.where for finding in refusal.value.findings]


def test_a_case_is_read(tables, read):
    case = read(tables)
    assert lb_from_kg(case.hot_kg) == pytest.approx(700)
    assert case.bill.paid_cents == 210_000
    assert case.fees.head_cents == 15_000
    assert case.method == NET_REALISABLE
    assert [cut.slug for cut in case.cuts_with("sell")] == [
        "ribeye-steak",
        "top-sirloin-steak",
        "chuck-eye-roast",
        "ground-beef",
    ]
    assert case.cuts[0].endings == (49, 99)
    assert case.cuts[3].work_min == {"packer": 120.0}
    assert case.cuts[5].name == "waste"


def test_what_is_left_out_is_the_kinds_and_this_animals(tables, read):
    del tables["bid"], tables["margin"], tables["relation"]
    case = read(tables)
    dressing = shipped_kinds()["grain-finished"].dressing_share
    assert case.target_share == 0.30
    assert case.bid.probability == 0.90
    assert case.bid.offer_cents_per_kg is None
    assert case.bid.dressing_share == (dressing.mean, dressing.sd)
    assert case.bid.hanging_loss_share[0] == pytest.approx(0.05)
    assert case.bid.hot_kg[0] == case.hot_kg


def test_what_is_typed_comes_first(tables, read):
    tables["bid"] = {
        "dressing": {"mean": 0.6, "sd": 0.02},
        "hanging_loss": {"mean": 0.04},
        "prices": "new",
        "hot": {"mean": "650lb", "sd": "50lb"},
        "value_sd_share": 0.1,
        "draws": 500,
        "seed": 9,
    }
    tables["list"] = {"sold_by": "kg", "endings": ".90"}
    tables["cut"][0]["ending"] = "any"
    bid = read(tables).bid
    assert bid.dressing_share == (0.6, 0.02)
    assert bid.hanging_loss_share == (0.04, 0.005)
    assert bid.hot_kg == (pytest.approx(kg_from_lb(650)), pytest.approx(kg_from_lb(50)))
    assert (bid.prices, bid.value_sd_share, bid.draws, bid.seed) == ("new", 0.1, 500, 9)
    case = read(tables)
    assert case.sold_by == "kg"
    assert [cut.endings for cut in case.cuts[:2]] == [(), (90,)]


def test_every_slip_is_listed_at_once(tables, read):
    tables |= {
        "kind": "grain-finishd",
        "hot": 700,
        "bill": {"rail": "3.00", "head": "$5.00"},
        "colour": "red",
    }
    tables["cut"][0] |= {"price": 18.99, "packs": 1.5}
    tables["cut"][1]["slug"] = "top-sirlon-steak"
    tables["margin"]["target"] = 30
    tables["relation"][0]["ratio"] = "much"
    with pytest.raises(CannotDo) as refusal:
        read(tables)
    found = wheres(refusal)
    for where in (
        "kind",
        "hot",
        "bill, basis",
        "bill, rail",
        "colour",
        "cut 1 (ribeye-steak), price",
        "cut 1 (ribeye-steak), packs",
        "cut 2 (top-sirlon-steak), slug",
        "margin, target",
    ):
        assert where in found, where
    assert any(finding.do == "Did you mean top-sirloin-steak?" for finding in refusal.value.findings)


@pytest.mark.parametrize(
    ("change", "where"),
    [
        (lambda t: t.update(hung="720lb"), "hung"),
        (lambda t: t.update(hot="9000lb"), "hot"),
        (lambda t: t.update(cut=[]), "cut"),
        (lambda t: t.update(cut="ribeye"), "cut"),
        (lambda t: t["cut"].append(dict(t["cut"][0])), "cut 7 (ribeye-steak), slug"),
        (lambda t: t["cut"][3].update(weight="300kg"), "cut"),
        (lambda t: t["cut"][0].update(weight="-3lb"), "cut 1 (ribeye-steak), weight"),
        (lambda t: t["cut"][0].update(price="0/lb"), "cut 1 (ribeye-steak), price"),
        (lambda t: t["cut"][0].pop("price"), "cut 1 (ribeye-steak), price"),
        (lambda t: t["cut"][0].update(slug="bison-hump-roast"), "cut 1 (bison-hump-roast), slug"),
        (lambda t: t["cut"][0].update(floor="20/lb", ceiling="19/lb"), "cut 1 (ribeye-steak), ceiling"),
        (lambda t: t["cut"][0].update(floor="18.50/lb", ceiling="18.80/lb"), "cut 1 (ribeye-steak), ceiling"),
        (lambda t: t["cut"][0].update(price="1899/lb"), "cut 1 (ribeye-steak), price"),
        (lambda t: t["cut"][0].update(ceiling="9999999/kg", ending="any"), "cut 1 (ribeye-steak), ceiling"),
        (lambda t: t["cut"][0].update(ending="99"), "cut 1 (ribeye-steak), ending"),
        (lambda t: t["cut"][0].update(work={"saw": "20min"}), "cut 1 (ribeye-steak), work"),
        (lambda t: t["cut"][4].update(ceiling="1/lb"), "cut 5 (suet), ceiling"),
        (lambda t: [cut.update(use="by-product") for cut in t["cut"][:5]], "cut 1 (ribeye-steak), use"),
        (lambda t: t.update(work={"grinder": "1h"}), "wages"),
        (lambda t: t["relation"][0].update(below="suet"), "relation 1, below"),
        (lambda t: t["relation"][0].update(below="ribeye-steak"), "relation 1, below"),
        (lambda t: t["relation"][0].update(ratio=0), "relation 1, ratio"),
        (lambda t: t["bid"].update(probability=90), "bid, probability"),
        (lambda t: t["bid"].update(offer="cheap"), "bid, offer"),
        (lambda t: t["bid"].update(dressing={"mean": 62}), "bid, dressing, mean"),
        (lambda t: t["bid"].update(draws=10), "bid, draws"),
        (lambda t: t["fees"].update(kill="120"), "fees, kill"),
        (lambda t: t.update(method="guess"), "method"),
        (lambda t: t.update(cutting_test=[{"name": "x"}]), "cutting_test 1, bought"),
    ],
)
def test_each_slip_says_where(tables, read, change, where):
    change(tables)
    with pytest.raises(CannotDo) as refusal:
        read(tables)
    assert where in wheres(refusal)


anything = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(["12lb", "3/lb", "$5.00", ".99", "live", "sell", "ribeye-steak", "20min"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["slug", "weight", "price", "live", "rail", "kill", "knife", "mean", "sd", "x"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=8,
)


@given(
    fields=st.dictionaries(
        st.sampled_from(
            [
                "kind",
                "hot",
                "hung",
                "bill",
                "fees",
                "wages",
                "work",
                "packing",
                "list",
                "method",
                "cut",
                "relation",
                "margin",
                "bid",
                "cutting_test",
                "x",
            ]
        ),
        anything,
        max_size=8,
    )
)
def test_nonsense_is_findings_never_an_accident(fields):
    with pytest.raises(CannotDo) as refusal:
        read_price_case(Entry(fields, "", Findings()), kinds=shipped_kinds(), catalogue=shipped_cuts())
    assert refusal.value.findings
