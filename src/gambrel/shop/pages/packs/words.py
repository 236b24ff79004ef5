"""The words of packs: how they are packed, where they lie, what becomes of them."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

PACKING_NAMES = {
    "paper": _("Paper"),
    "tray": _("Tray and film"),
    "vacuum": _("Vacuum bag"),
    "bulk": _("Open in the case"),
}
PLACE_NAMES = {"case": _("Case"), "freezer": _("Freezer"), "ageing": _("Dry-ageing room")}
GROUP_NAMES = {
    "cuts": _("Cuts"),
    "ground": _("Ground"),
    "trim": _("Trim"),
    "bone": _("Bone"),
    "fat": _("Fat"),
}
EVENT_NAMES = {
    "sold": _("sold"), "returned": _("came back"), "spoiled": _("thrown away"), "eaten": _("eaten in the shop"),
    "missing": _("not found at a count"), "found": _("found again"), "moved": _("moved"), "counted": _("counted"),
    "labelled": _("label printed"),
}  # fmt: skip
