"""The words of the share pages: portions, styles, and what each choice is called."""

from __future__ import annotations

import re

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

PORTION_NAMES = {
    "whole": gettext_lazy("whole animal"),
    "half": gettext_lazy("half"),
    "quarter": gettext_lazy("quarter, some of everything"),
    "eighth": gettext_lazy("eighth, some of everything"),
}
STYLE_NAMES = {
    "boneless": gettext_lazy("boneless"),
    "bone-in": gettext_lazy("bone in"),
    "steak-and-grind": gettext_lazy("steaks, the rest ground"),
    "roasts": gettext_lazy("roasts"),
    "stew-and-strips": gettext_lazy("stew and strips"),
    "light-trim": gettext_lazy("lightly trimmed"),
    "light-trim-bone-in": gettext_lazy("lightly trimmed, bone in"),
}
BILL_NAMES = {
    "meat, hanging weight": gettext_lazy("Meat, by hanging weight"),
    "cut and wrap, hanging weight": gettext_lazy("Cutting and wrapping, by hanging weight"),
    "kill and fees": gettext_lazy("Kill and fees"),
    "deposit": gettext_lazy("Deposit paid"),
}
_FAT, _LEAN = re.compile(r"([\d.]+) mm of fat left on"), re.compile(r"ground at ([\d.]+) % lean")


def choice_said(name: str) -> str:
    """A choice, as the sell step names it, in the language of the page."""
    if name.startswith("style "):
        return str(STYLE_NAMES.get(name.removeprefix("style "), name.removeprefix("style ")))
    if found := _FAT.fullmatch(name):
        return _("%(mm)s mm of fat left on") % {"mm": found[1]}
    if found := _LEAN.fullmatch(name):
        return _("ground at %(lean)s %% lean") % {"lean": found[1]}
    plain = {"take the bones": _("take the bones"), "leave the bones": _("leave the bones"),
             "take the fat": _("take the fat"), "leave the fat": _("leave the fat")}  # fmt: skip
    return plain.get(name, name)
