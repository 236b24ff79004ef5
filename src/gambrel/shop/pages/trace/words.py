"""The words of the trace pages: what goes into a lot and what becomes of it."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

LINE_NAMES = {
    "hung": _("Hung, as it came from the hot scale"),
    "bought": _("Trim bought"),
    "trim": _("Trim of this shop"),
    "carried-in": _("Left in the grinder from the batch before"),
    "loss": _("Lost on the rail or in the grinder"),
    "pack": _("Packed"),
    "batch": _("Weighed into batches"),
    "carried-out": _("Gone into the next batch"),
    "bone": _("Bone"),
    "fat": _("Fat"),
    "thrown": _("Thrown away"),
    "waiting": _("Weighed, still to be packed or ground"),
}
