"""The shop's own numbers of its products, and somebody's word on a rule of labels."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from gambrel.catalog.kinds import SPECIES
from gambrel.shop.records.models.append_only import AppendOnly
from gambrel.shop.records.models.people import Person


class Item(models.Model):
    """A product of the counter under a number, given when its first label is printed and never to another."""

    number = models.PositiveIntegerField(unique=True)
    slug = models.CharField(max_length=60)
    species = models.CharField(max_length=10)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("slug", "species"), name="each_product_one_number"),
            models.CheckConstraint(condition=Q(number__range=(1, 99_999)), name="item_number"),
            models.CheckConstraint(condition=Q(species__in=SPECIES), name="item_species"),
        )

    def __str__(self) -> str:
        return f"{self.number:05d}"


class RuleWord(AppendOnly):
    """From `since` on a rule of labels holds, or does not: `who` said so, and why."""

    slug = models.CharField(max_length=40)
    on = models.BooleanField()
    who = models.CharField(max_length=80)
    why = models.CharField(max_length=200)
    since = models.DateField()
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (
            models.CheckConstraint(condition=~Q(who="") & ~Q(why=""), name="rule_word_says_who_and_why"),
        )
