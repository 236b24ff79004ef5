"""What the trims make: batches at the lean wanted, within the law, with the least lean given away."""

from gambrel.grind.blend import Batch, GrindPlan, Leftover, Line, blend
from gambrel.grind.case import OBJECTIVES, GrindCase, GroundProduct, Trim, read_case
from gambrel.grind.names import GROUND_NAMES, GroundName
from gambrel.grind.square import Square, kg_after_fat_is_trimmed, pearson_square

__all__ = [
    "GROUND_NAMES",
    "OBJECTIVES",
    "Batch",
    "GrindCase",
    "GrindPlan",
    "GroundName",
    "GroundProduct",
    "Leftover",
    "Line",
    "Square",
    "Trim",
    "blend",
    "kg_after_fat_is_trimmed",
    "pearson_square",
    "read_case",
]
