"""`gambrel breakdown`: every piece of a side or carcass with its interval."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from gambrel.cli.report import answers, as_json, complain, print_json
from gambrel.measures import Findings
from gambrel.measures.units import lb_from_kg

if TYPE_CHECKING:
    from gambrel.breakdown import Forecast
    from gambrel.breakdown.case import Case
    from gambrel.measures import Estimate, Finding

ESTIMATE = (
    "Estimates of this shop from published shares, not a promise: each figure is the mean with the range "
    "that holds 9 times in 10."
)
CAUTION = (
    "Knives and saws: guard on, mesh glove on the free hand (never at the band saw), cut away from you. "
    "What may be sold is for the inspector in charge and local law to say."
)


@click.command("breakdown")
@click.argument("case_file", type=click.Path(path_type=Path))
@click.option("--kinds", "kinds_file", type=click.Path(path_type=Path), help="The shop's own kinds (TOML).")
@click.option("--ways", "ways_file", type=click.Path(path_type=Path), help="The shop's own ways (TOML).")
@as_json
@answers
def command(case_file: Path, kinds_file: Path | None, ways_file: Path | None, as_json: bool) -> None:
    """Forecast every piece of the side or carcass described in CASE_FILE."""
    from gambrel.breakdown.case import forecast_case, read_case
    from gambrel.catalog.cuts import shipped_cuts
    from gambrel.files.reading import read_case as open_case
    from gambrel.files.shop_data import own_kinds, own_tree

    findings = Findings()
    case = read_case(open_case(case_file, findings), own_kinds(kinds_file), tree := own_tree(ways_file))
    forecast, changed = forecast_case(case, tree=tree, cuts=shipped_cuts())
    if as_json:
        print_json(to_json(case, forecast, changed))
    else:
        _print_table(case, forecast)
    complain(changed, word="changed for the law")


def to_json(case: Case, forecast: Forecast, changed: list[Finding]) -> dict[str, Any]:
    """The contract's JSON value."""
    cuts = forecast.cuts
    return {
        "kind": case.animal.kind.slug,
        "basis": case.basis,
        "style": case.style,
        "hung_kg": float(forecast.hung_kg.mean()),
        "pieces": [
            {"slug": slug, "imps": cuts[slug].imps or None, "name": cuts[slug].name_for(case.animal.species),
             "use": cuts[slug].use, "primal": cuts[slug].primal, "kg": kg.as_json()}
            for slug, kg in forecast.pieces().items()
        ],
        "totals": {name: total.as_json() for name, total in forecast.totals().items()},
        "primals": dict(forecast.primal_share),
        "ways": {way.piece: way.name for way in forecast.ways},
        "balance_error_kg": forecast.balance_error_kg,
        "not_food": sorted(not_food(case, forecast)),
        "findings": [finding.as_json() for finding in changed],
        "official": False,
    }  # fmt: skip


def not_food(case: Case, forecast: Forecast) -> set[str]:
    """Slugs of bones and the like that the law keeps from being food in an animal of this age."""
    from gambrel.catalog.law import inedible

    return inedible(forecast.kg, forecast.cuts, case.animal, srm_policy_bison=case.srm_policy_bison)


def _print_table(case: Case, forecast: Forecast) -> None:
    hung = float(forecast.hung_kg.mean())
    print(f"{case.animal.kind.name}, {case.basis} of {lb_from_kg(hung):.1f} lb ({hung:.1f} kg) hung, "
          f"{case.days_hung} days, style {case.style}\n")  # fmt: skip
    print(f"{'piece':44} {'lb':>7} {'9 in 10 within':>16} {'kg':>7} {'share':>6}")
    barred = not_food(case, forecast)
    for slug, kg in forecast.pieces().items():
        print(
            _row(forecast.cuts[slug].shop_name(case.animal.species), kg, hung)
            + ("  not food" if slug in barred else "")
        )
    print()
    for name, total in forecast.totals().items():
        print(_row(name.removesuffix("_kg").replace("_", " "), total, hung))
    print(f"\n{ESTIMATE}\n{CAUTION}")


def _row(name: str, kg: Estimate, hung_kg: float) -> str:
    lb = kg.times(lb_from_kg(1.0))
    label = name if len(name) <= 44 else name[:43] + "…"
    return (f"{label:44} {lb.mean:7.1f} {f'{lb.p05:.1f} to {lb.p95:.1f}':>16} {kg.mean:7.2f} "
            f"{100 * kg.mean / hung_kg:5.1f}%")  # fmt: skip
