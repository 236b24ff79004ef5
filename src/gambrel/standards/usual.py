"""Usual spans of rib-face readings, and how well instruments have done: to warn by, not to grade by."""

from __future__ import annotations

USUAL_RIBEYE_IN2 = (10.0, 18.0)
"""[sdsu-ranges; tamu-asweb-121]"""

USUAL_FAT_IN = (0.15, 0.8)
"""Over the ribeye, fed cattle; mean 0.5. [sdsu-ranges]"""

USUAL_KPH_PCT = (0.5, 6.0)
"""Kidney, pelvic and heart fat, % of the carcass. [georgia-ag-2004]"""

SEEN_RIBEYE_CM2 = (19.0, 124.0)
"""Smallest and largest of market cows. [nbqa-market-2016]"""

SEEN_FAT_MM = (0.0, 46.0)
"""Market cows. [nbqa-market-2016]"""

RIBEYE_RMSE_CM2 = {"good": 4.3, "published floor": 6.4}
"""Error of image readers against a measured area, from two abstracts. [derived]"""

MARBLING_RMSE_POINTS = {"good": 48.0, "published floor": 66.0}
"""The same for marbling, in points of 100 a degree. [derived]"""
