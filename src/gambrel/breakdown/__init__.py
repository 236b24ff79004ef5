"""What a side will yield, broken each way: shares learned from tests, multiplied down the tree."""

from gambrel.breakdown.forecast import Forecast, Wishes, expected_shares, forecast_side
from gambrel.breakdown.share_model import ShareModel

__all__ = ["Forecast", "ShareModel", "Wishes", "expected_shares", "forecast_side"]
