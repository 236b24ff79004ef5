"""A week file of the invented shop Cottonwood Bend, with as many sides as wanted: to try the plan and to time it.

Every name, price and order is made up. Weights, fat and ribeye are drawn about the kinds' usual figures.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta

from gambrel.catalog.kinds import Kind, shipped_kinds
from gambrel.measures.units import in2_from_cm2, in_from_mm, lb_from_kg

START = date(2026, 3, 9)
KINDS = ("bison", "grass-finished", "grain-finished", "wagyu")
PRICE_FACTOR = {"bison": 1.45, "grass-finished": 1.10, "grain-finished": 1.0, "wagyu": 2.1}
SEXES = {"bison": "bull", "grass-finished": "steer", "grain-finished": "steer", "wagyu": "steer"}
BILLS = {"bison": 'raised = "$1,900.00"', "grass-finished": 'rail = "3.60/lb"',
         "grain-finished": 'live = "2.05/lb", live_weight = "{live:.0f}lb"', "wagyu": 'head = "$4,200.00"'}  # fmt: skip

COUNTER = (
    # slug, price a lb of grain-finished, lb a week at full price for each animal of the kind, days it keeps
    ("tenderloin-steak", 32.99, 5, 6), ("filet-mignon", 36.99, 4, 6), ("ribeye-steak", 24.99, 14, 6),
    ("rib-steak-bone-in", 21.99, 14, 6), ("strip-steak", 22.99, 11, 6), ("t-bone-steak", 20.99, 12, 6),
    ("porterhouse-steak", 22.49, 9, 6), ("top-sirloin-steak", 14.99, 13, 6), ("tri-tip", 14.49, 5, 6),
    ("tri-tip-steak", 14.99, 5, 6), ("flank-steak", 13.99, 4, 6), ("outside-skirt", 15.99, 3, 6),
    ("inside-skirt", 13.99, 4, 6), ("hanger-steak", 14.99, 1.5, 6), ("flap-steak", 14.49, 4, 6),
    ("sirloin-flap", 13.49, 4, 6), ("denver-steak", 13.99, 6, 6), ("ranch-steak", 11.99, 5, 6),
    ("top-blade-steak", 12.49, 6, 6), ("petite-tender-medallion", 14.99, 2, 6), ("shoulder-tender", 13.99, 2, 6),
    ("chuck-eye-steak", 11.99, 8, 6), ("chuck-eye-roast", 9.99, 12, 6), ("chuck-roll", 9.49, 20, 6),
    ("blade-roast", 8.99, 14, 6), ("seven-bone-roast", 8.49, 12, 6), ("arm-pot-roast", 8.79, 12, 6),
    ("shoulder-clod-roast", 8.99, 14, 6), ("clod-heart", 8.99, 14, 6), ("mock-tender-roast", 8.49, 4, 6),
    ("short-ribs", 10.99, 14, 6), ("plate-short-ribs", 9.99, 8, 6), ("chuck-short-ribs", 10.49, 7, 6),
    ("back-ribs", 6.99, 6, 6), ("brisket-whole", 9.49, 16, 8), ("brisket-flat", 10.49, 9, 8),
    ("brisket-point", 9.99, 6, 8), ("top-round-steak", 9.49, 14, 6), ("top-round", 8.79, 18, 6),
    ("bottom-round-roast", 7.99, 16, 6), ("eye-of-round-roast", 8.49, 8, 6), ("eye-of-round-steak", 8.99, 5, 6),
    ("tip-steak", 8.99, 9, 6), ("tip-roast", 8.49, 12, 6), ("cubed-steak", 8.49, 9, 5), ("stew-beef", 8.49, 16, 5),
    ("kabob-beef", 9.99, 7, 5), ("stir-fry-beef", 9.49, 7, 5), ("shank-cross-cut", 5.99, 10, 6),
    ("bison-hump-roast", 9.99, 10, 6), ("marrow-bones", 4.49, 12, 10),
    ("knuckle-bones", 2.99, 10, 10), ("mixed-soup-bones", 2.79, 20, 10), ("suet", 2.49, 8, 20),
)  # fmt: skip

ORDERS = (
    # slug, kind or species, lb for each animal of the kind, price, days after the start, must
    ("brisket-whole", "grain-finished", 8, 9.25, 11, True),
    ("short-ribs", "grass-finished", 6, 12.25, 9, True),
    ("ribeye-steak", "wagyu", 6, 54.0, 12, True),
    ("stew-beef", "cattle", 3, 8.25, 10, True),
    ("bison-hump-roast", "bison", 4, 15.0, 4, False),
    ("top-sirloin-steak", "bison", 5, 21.5, 4, True),
)


def example_week(*, sides: int, days: int = 14, seed: int = 1, photographs: str | None = None) -> str:
    """The text of a week file with `sides` sides (two an animal) over `days` days; the same seed, the same text.

    With `photographs`, a folder beside the file, no rib face is typed: every side names its photograph there.
    """
    if sides < 1 or days < 1:
        raise ValueError("at least one side and one day")
    draw = random.Random(seed)
    animals = (sides + 1) // 2
    of_kind = {kind: (animals + 3 - number) // 4 for number, kind in enumerate(KINDS)}
    parts = [_shop(sides=sides, days=days)]
    parts += _animals(draw, sides=sides, days=days, photographs=photographs)
    parts += _counter(of_kind)
    parts += _ground(of_kind)
    parts += _orders(of_kind, days=days)
    return "\n".join(parts)


def _shop(*, sides: int, days: int) -> str:
    knife, packer = 3.0 + 0.9 * sides, 3.0 + 0.7 * sides
    return f"""\
# A week at Cottonwood Bend, an invented shop. Quantities carry their unit; days are year-month-day.
[shop]
name = "Cottonwood Bend"
start = {START}
days = {days}
cutting_days = ["mon", "tue", "wed", "thu", "fri"]
rail = "{0.6 * sides + 1.2:.1f}m"
rail_per_side = "0.6m"
srm_policy_bison = "as_cattle"   # decided by the shop with its inspector in charge
waste = "0.06/lb"                # cost of having bone, fat and unsold meat hauled away

[hours]                          # hours of work on a cutting day
knife = "{knife:.1f}h"
saw = "{1.0 + 0.3 * sides:.1f}h"
grinder = "{1.0 + 0.2 * sides:.1f}h"
packer = "{packer:.1f}h"

[wages]
per_hour = "$24.00"

[margin]
target = 30                      # percent of the price
packing = "0.35/lb"
overhead_per_head = "$180.00"
ending = 99
"""


def _animals(draw: random.Random, *, sides: int, days: int, photographs: str | None) -> Iterator[str]:
    kinds = shipped_kinds()
    seen: dict[str, int] = {}
    for number in range((sides + 1) // 2):
        kind = kinds[KINDS[number % 4]]
        seen[kind.slug] = seen.get(kind.slug, 0) + 1
        one_side = number == sides // 2  # an odd count leaves one side of the last animal
        name = f"{_letter(kind)}{seen[kind.slug]}"
        yield _animal(draw, kind, name, number, days=days, one_side=one_side, photographs=photographs)


def _letter(kind: Kind) -> str:
    return {"bison": "B", "grass-finished": "G", "grain-finished": "C", "wagyu": "W"}[kind.slug]


def _animal(
    draw: random.Random, kind: Kind, name: str, number: int, *, days: int, one_side: bool, photographs: str | None
) -> str:  # fmt: skip
    hot_kg = kind.hot_kg.mean + max(-1.5, min(1.5, draw.gauss(0, 0.7))) * kind.hot_kg.sd
    hot_kg = round(hot_kg * 2) / 2
    fat_in = round(in_from_mm(kind.usual_fat_mm(hot_kg) * draw.uniform(0.85, 1.15)), 2)
    ribeye_in2 = round(in2_from_cm2(kind.usual_ribeye_cm2(hot_kg) * draw.uniform(0.95, 1.05)), 1)
    kph_pct = round(max(0.5, kind.kph_pct.mean + draw.uniform(-0.5, 0.5)), 1)
    marbling = round(kind.marbling_score.mean + draw.uniform(-60, 60), -1)
    # Spread the target days over the plan, so that not everything is ready at once; an old one now and then.
    ready = (3 * number) % max(1, min(days - 2, 10)) + 1
    killed = START + timedelta(days=ready - kind.hang_days[1])
    age = draw.choice((28, 29, 31)) if kind.usual_age_months > 24 else draw.choice((16, 17, 18, 20))
    bill = BILLS[kind.slug].format(live=lb_from_kg(hot_kg / kind.dressing_share.mean))
    face = f'fat = "{fat_in:.2f}in"\nribeye = "{ribeye_in2:.1f}in2"\nmarbling = {marbling:.0f}\n'
    if photographs is not None:
        halves = ("left",) if one_side else ("left", "right")
        face = "".join(f'photograph_{half} = "{photographs}/{name}-{half}.jpg"\n' for half in halves)
    only_left = 'sides = ["left"]\n' if one_side else ""
    return f"""\
[[animal]]
id = "{name}"
kind = "{kind.slug}"
sex = "{SEXES[kind.slug]}"
age_months = {age}
hot = "{lb_from_kg(hot_kg):.0f}lb"
killed = {killed}
{face}kph = {kph_pct:.1f}
maturity = "A"
inspected = "federal"
bill = {{ {bill} }}
kill_fee = "$125.00"
{only_left}"""


def _counter(of_kind: dict[str, int]) -> Iterator[str]:
    for kind, animals in of_kind.items():
        for slug, price, weekly_lb, keeps in COUNTER:
            if not animals or (slug.startswith("bison-") and kind != "bison"):
                continue
            yield _demand(slug, kind, price * PRICE_FACTOR[kind], weekly_lb * animals, keeps)


def _steps(price: float, weekly_lb: float) -> str:
    falls = ((1.0, 1.0), (1.6, 0.88), (2.4, 0.75))
    return ", ".join(
        f'{{ upto = "{weekly_lb * much:.1f}lb", price = "{price * share:.2f}/lb" }}' for much, share in falls
    )


def _demand(slug: str, kind: str, price: float, weekly_lb: float, keeps: int) -> str:
    return f"""\
[[demand]]
cut = "{slug}"
kind = "{kind}"
steps = [{_steps(price, weekly_lb)}]
salvage = "{price * 0.3:.2f}/lb"
shelf_days = {keeps}
"""


def _ground(of_kind: dict[str, int]) -> Iterator[str]:
    wanted = (("ground-bison", "bison", 90, 12.99, 40), ("ground-beef-85", "grass-finished", 85, 9.49, 40),
              ("ground-beef-90", "grass-finished", 90, 10.49, 16), ("ground-beef-80", "grain-finished", 80, 7.49, 55),
              ("ground-beef-90", "grain-finished", 90, 8.99, 16),
              ("ground-beef-75", "wagyu", 75, 11.99, 50))  # fmt: skip
    for slug, kind, lean, price, weekly_lb in wanted:
        if of_kind[kind]:
            yield f"""\
[[ground]]
name = "{slug}"
kind = "{kind}"
lean = {lean}
steps = [{_steps(price, weekly_lb * of_kind[kind])}]
salvage = "{price * 0.4:.2f}/lb"
shelf_days = 4
"""


def _orders(of_kind: dict[str, int], *, days: int) -> Iterator[str]:
    number = 0
    for slug, who, each_lb, price, after, must in ORDERS:
        animals = sum(of_kind.values()) - of_kind["bison"] if who == "cattle" else of_kind[who]
        if not animals or after >= days:
            continue
        number += 1
        field = "species" if who == "cattle" else "kind"
        yield f"""\
[[order]]
id = "{number}"
cut = "{slug}"
{field} = "{who}"
weight = "{each_lb * animals}lb"
by = {START + timedelta(days=after)}
price = "{price:.2f}/lb"
must = {str(must).lower()}
shelf_days = 7
"""
