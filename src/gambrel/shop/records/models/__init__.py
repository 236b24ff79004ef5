"""The records of a shop, one file a subject, in the order of a carcass's journey."""

from gambrel.shop.records.models.append_only import AppendOnly, WrittenOnce
from gambrel.shop.records.models.block import Cutting, ScaleWeight
from gambrel.shop.records.models.cooler import CoolerReading, CoolerRoom, Rail
from gambrel.shop.records.models.devices import Device
from gambrel.shop.records.models.faces import FaceAccepted, FaceReading, HowRead, Photograph
from gambrel.shop.records.models.grind import (
    Batch,
    BatchInput,
    BoughtTrim,
    CleanUp,
    LeanTest,
    TubEnd,
    TubEvent,
)
from gambrel.shop.records.models.labels import Item, RuleWord
from gambrel.shop.records.models.learn import Lesson, SideForecast
from gambrel.shop.records.models.orders import Customer, Order, OrderState
from gambrel.shop.records.models.packs import (
    BACK,
    ENDS,
    Lot,
    OnHand,
    Pack,
    PackEnd,
    PackEvent,
    Packing,
    Place,
)
from gambrel.shop.records.models.people import Person, Theme, Units
from gambrel.shop.records.models.plans import PinnedSide, Plan, PlannedSide, PlanQuestion, PlanState
from gambrel.shop.records.models.prices import Demand, Price, PriceList
from gambrel.shop.records.models.shares import Share
from gambrel.shop.records.models.shop import OwnKind, ShopProfile
from gambrel.shop.records.models.sides import Side, SideMove, SideState, Weighing
from gambrel.shop.records.models.supply import Animal, Bill, Supplier
from gambrel.shop.records.models.trace import Drill, DrillFind, LotHold
from gambrel.shop.records.models.trail import AuditLine

__all__ = [
    "BACK", "ENDS", "Animal", "AppendOnly", "AuditLine", "Batch", "BatchInput", "Bill", "BoughtTrim", "CleanUp",
    "CoolerReading", "CoolerRoom", "Customer", "Cutting", "Demand", "Device", "Drill", "DrillFind",
    "FaceAccepted", "FaceReading", "HowRead", "Item", "LeanTest", "Lesson", "Lot", "LotHold", "OnHand",
    "Order", "OrderState", "OwnKind", "Pack", "PackEnd", "PackEvent", "Packing", "Person", "Photograph",
    "PinnedSide", "Place", "Plan", "PlanQuestion", "PlanState", "PlannedSide", "Price", "PriceList",
    "Rail", "RuleWord", "ScaleWeight", "Share", "ShopProfile", "Side", "SideForecast", "SideMove", "SideState",
    "Supplier", "Theme", "TubEnd", "TubEvent", "Units", "Weighing", "WrittenOnce",
]  # fmt: skip
