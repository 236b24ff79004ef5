"""The figures behind the loss curve: one row a kind, each number with its mark and source."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from gambrel.catalog.kinds import Kind, Spread

PARAMETERS = ("chill_share", "early_share", "per_day_share")
"""First-day chill loss, what the early days lose on top of the steady rate, and the steady rate a day."""


@dataclass(frozen=True, slots=True)
class KindFigures:
    """What a kind loses at its usual fat cover, and the days a source covers."""

    at_fat_mm: float
    last_day: float
    days_source: str
    parameters: tuple[Spread, Spread, Spread]


@dataclass(frozen=True, slots=True)
class LossFigures:
    """The whole table: curve, effect of cover and of small sides, noise of a weighing, and the kinds."""

    early_days: float
    chill_falloff_per_day: float
    cover_shares: tuple[float, float, float]
    cover_fades_mm: float
    small_below_kg: float
    small_share_per_kg2: float
    noise_share: float
    kinds: dict[str, KindFigures]

    def of(self, kind: Kind) -> KindFigures:
        """The row for `kind`: its own, that of the kind it is like, or that of its species and finish."""
        for slug in (kind.slug, kind.like):
            if slug in self.kinds:
                return self.kinds[slug]
        if kind.species == "bison":
            return self.kinds["bison"]
        return self.kinds["grain-finished" if kind.finish == "grain" else "grass-finished"]


def packaged_table(name: str) -> dict[str, Any]:
    """The tables of `data/NAME` as they stand."""
    return tomllib.loads(resources.files("gambrel.hang").joinpath(f"data/{name}").read_text("utf-8"))


@cache
def loss_figures() -> LossFigures:
    """The packaged figures, read once."""
    table = packaged_table("loss.toml")
    cover = table["cover"]
    return LossFigures(
        early_days=table["curve"]["early_days"],
        chill_falloff_per_day=table["curve"]["chill_falloff_per_day"],
        cover_shares=(cover["chill_share"][0], cover["early_share"][0], cover["per_day_share"][0]),
        cover_fades_mm=cover["fades_mm"][0],
        small_below_kg=table["small_side"]["below_kg"][0],
        small_share_per_kg2=table["small_side"]["share_per_kg2"][0],
        noise_share=table["weighing"]["noise_share"][0],
        kinds={slug: _kind_figures(row) for slug, row in table["kind"].items()},
    )


def _kind_figures(row: dict[str, Any]) -> KindFigures:
    chill, early, per_day = (Spread(*row[name]) for name in PARAMETERS)
    return KindFigures(
        at_fat_mm=row["at_fat_mm"],
        last_day=float(row["days"][1]),
        days_source=row["days_source"],
        parameters=(chill, early, per_day),
    )
