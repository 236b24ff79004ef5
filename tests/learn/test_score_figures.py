"""The figures of a scorecard, by hand."""

from __future__ import annotations

import pytest

from gambrel.learn.score_figures import FIGURES, AnimalFigures, figure_of, scores_of

ASH = AnimalFigures("07", "ash", "bison", hung_kg=320.0, meat_share=0.66, fat_mm=6.0, grade=410.0,
                    profit_cents=64_000.0, rail_days=8.0)  # fmt: skip
ELM = AnimalFigures("08", "elm", "grain", hung_kg=360.0, meat_share=0.64)


def test_profit_by_head_by_kg_and_by_rail_day() -> None:
    """640 dollars: 2 dollars a kg of 320, 80 dollars a day of 8."""
    assert figure_of(ASH, "profit_cents_per_head") == 64_000.0
    assert figure_of(ASH, "profit_cents_per_kg") == pytest.approx(200.0)
    assert figure_of(ASH, "profit_cents_per_rail_day") == pytest.approx(8_000.0)


def test_a_loss_is_a_figure_too() -> None:
    lost = AnimalFigures("09", "ash", "bison", hung_kg=300.0, profit_cents=-30_000.0, rail_days=10.0)
    assert figure_of(lost, "profit_cents_per_kg") == pytest.approx(-100.0)
    assert (
        figure_of(AnimalFigures("10", "", "bison", 300.0, profit_cents=0.0), "profit_cents_per_head") == 0.0
    )


def test_what_is_not_known_is_no_figure() -> None:
    assert [figure_of(ELM, figure) for figure in FIGURES] == [0.64, 0.64, None, None, None, None]
    assert figure_of(AnimalFigures("11", "", "bison", 300.0, profit_cents=1.0, rail_days=0.0),
                     "profit_cents_per_rail_day") is None  # fmt: skip
    with pytest.raises(KeyError):
        figure_of(ASH, "luck")


def test_scores_are_of_animals_that_have_the_figure() -> None:
    assert [one.animal for one in scores_of([ASH, ELM], "meat_share")] == ["07", "08"]
    assert [one.animal for one in scores_of([ASH, ELM], "grade")] == ["07"]
    (fat,) = scores_of([ASH, ELM], "meat_share_at_like_fat")
    assert (fat.value, fat.given, fat.supplier, fat.kind) == (0.66, (6.0,), "ash", "bison")
    assert scores_of([ASH], "meat_share")[0].given == ()
