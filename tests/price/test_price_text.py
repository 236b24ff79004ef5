"""The lines a butcher reads: per lb first, bids rounded down, columns that line up."""

from __future__ import annotations

import re

import pytest

from gambrel.cli.price_text import per_kg, per_lb, sheet_lines
from gambrel.measures.money import cents_per_kg
from gambrel.measures.units import KG_PER_LB
from gambrel.price.sheet import price_animal, sheet_json


def text_of(tables, read):
    return sheet_lines(price_animal(read(tables)))


def test_a_price_is_shown_in_both_units():
    assert per_lb(cents_per_kg(1299)) == "12.99/lb"
    assert per_kg(cents_per_kg(1299)) == "28.64/kg"  # 12.99 over 0.45359237


def test_the_list_shows_what_the_answer_says(tables, read):
    tables["margin"]["target"] = 0.45
    sheet = price_animal(read(tables))
    lines = sheet_lines(sheet)
    start = next(i for i, line in enumerate(lines) if line.startswith("PRICE LIST"))
    for cut, line in zip(sheet_json(sheet)["cuts"], lines[start + 2 :], strict=False):
        pounds, cost, today, new, new_kg, cost_kg, change, margin, _ = line[32:].split()
        assert float(pounds) == pytest.approx(cut["kg"] / KG_PER_LB, abs=0.05)
        assert float(cost) == pytest.approx(cut["cost_cents_per_kg"] * KG_PER_LB / 100, abs=0.005)
        assert float(cost_kg) == pytest.approx(cut["cost_cents_per_kg"] / 100, abs=0.005)
        assert float(today) == pytest.approx(cut["today_cents_per_kg"] * KG_PER_LB / 100, abs=0.005)
        assert float(new) == cut["new_label_cents"] / 100
        assert float(new_kg) == pytest.approx(cut["new_cents_per_kg"] / 100, abs=0.005)
        assert float(change.rstrip("%")) == pytest.approx(100 * cut["change_share"], abs=0.05)
        assert float(margin) == pytest.approx(100 * cut["new_margin_share"], abs=0.05)


def test_columns_line_up(tables, read):
    lines = text_of(tables, read)
    start = next(i for i, line in enumerate(lines) if line.startswith("PRICE LIST"))
    assert len({len(line) for line in lines[start + 1 : start + 6]}) == 1


def test_bids_are_rounded_down(tables, read):
    sheet = price_animal(read(tables))
    line = next(line for line in sheet_lines(sheet) if "pay at most" in line)
    live, rail = (float(found) for found in re.findall(r"([\d.]+)/lb", line))
    exact = [sheet.bid.at_probability(0.9, on=on) * KG_PER_LB / 100 for on in ("live", "rail")]
    for shown, true in zip((live, rail), exact, strict=True):
        assert shown <= true < shown + 0.0101


def test_a_bid_of_nothing_is_said(tables, read):
    tables["fees"]["kill"] = "$9000.00"
    lines = text_of(tables, read)
    assert any("pay at most nothing live or nothing on the rail" in line for line in lines)


def test_an_offer_on_the_rail_is_judged_on_the_rail(tables, read):
    tables["bid"] |= {"offer": "3.00/lb", "offer_on": "rail"}
    assert any(
        "at 3.00/lb (6.61/kg) on the rail the chance of losing" in line for line in text_of(tables, read)
    )


def test_no_offer_no_judgement(tables, read):
    del tables["bid"]["offer"]
    assert not any("chance of losing" in line for line in text_of(tables, read))


def test_the_new_prices_are_named_when_they_make_the_bid(tables, read):
    tables["bid"]["prices"] = "new"
    assert any(line.startswith("BID") and "the new prices" in line for line in text_of(tables, read))


def test_the_live_bill_shows_how_it_dressed(tables, read):
    tables["bill"] = {"live": "1.80/lb", "live_weight": "1120lb"}
    lines = text_of(tables, read)
    assert lines[0].endswith("dressed 62.5 % of live")
    assert any("animal, by live weight" in line and "$2,016.00" in line for line in lines)


def test_a_cut_that_does_not_pay_for_itself_is_named(tables, read):
    tables["cut"][2]["work"] = {"knife": "100h"}
    assert any("chuck-eye-roast does not cover its own work" in line for line in text_of(tables, read))


def test_cost_lines_add_up_as_shown(tables, read):
    shown = {}
    for line in text_of(tables, read)[1:9]:
        found = re.fullmatch(r"  (\D+?) +(-?)\$([\d,.]+)", line)
        if found:
            shown[found[1]] = float(found[2] + found[3].replace(",", ""))
    parts = ("animal, on the rail", "fees", "work on the whole carcass", "less by-products")
    assert sum(shown[name] for name in parts) == pytest.approx(shown["shared out over the cuts"])
    whole = shown["shared out over the cuts"] + shown["work and packing of single cuts"]
    assert whole == pytest.approx(shown["all of it"])
