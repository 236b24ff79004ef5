"""What is printed at the foot of every sheet and beside work that can hurt someone; common practice."""

from __future__ import annotations

FOOT = (
    "Estimates by the shop, not an official grade: only a licensed grader gives one, and no USDA grade "
    "covers bison. The inspector in charge, the shop's food-safety plan and local codes come first."
)

CUTTING: tuple[tuple[str, str], ...] = (
    (
        "Knife",
        "Wear a cut-resistant glove and arm guard on the free hand, and an apron for boning. Keep the "
        "knife sharp, cut away from yourself, and let a falling knife fall.",
    ),
    (
        "Saw",
        "Set the guard just above the piece and push with the plate, without gloves. Keep hands clear of "
        "the blade; stop and lock it out before cleaning.",
    ),
    (
        "Grinder",
        "Feed with the stomper, never with fingers. Unplug and lock out before opening; guards on before "
        "power.",
    ),
    (
        "Lifting",
        "Two people or the hoist for quarters. Stand clear of hanging weight; look at hook and trolley "
        "first. A bison forequarter is heavy and parts unevenly at the hump.",
    ),
    (
        "Cold",
        "Dry gloves, floors that grip, breaks in the warm. The cooler opens from inside and its alarm "
        "works; leave at once when you smell ammonia or feel short of breath.",
    ),
    (
        "Backbone",
        "Follow the age rules for the spine and other risk material; keep a knife of its own for it, and "
        "cover your face at the saw.",
    ),
)

SHORT = (
    "Care: knife, saw, hoist and cold hurt people. Guards on, glove and arm guard for the knife, no "
    "gloves at the saw, help with lifting, breaks in the warm."
)
