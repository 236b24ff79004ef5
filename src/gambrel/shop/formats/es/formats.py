"""Spanish as it is written in Mexico and the United States: a point before decimals, as on the scale and the label.

A browser's date box takes and gives year-month-day in every language.
"""

from __future__ import annotations

DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ","
DATE_INPUT_FORMATS = ["%Y-%m-%d"]
DATETIME_INPUT_FORMATS = ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M:%S", "%Y-%m-%d %H:%M"]
