"""People of the shop and their roles."""

from __future__ import annotations

from typing import ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower

from gambrel.shop.access import COUNTER, CUTTER, OWNER, ROLES


class Units(models.TextChoices):
    LB = "lb"
    KG = "kg"


class Theme(models.TextChoices):
    AUTO = "auto"
    LIGHT = "light"
    DARK = "dark"


class PersonManager(BaseUserManager["Person"]):
    def get_by_natural_key(self, username: str | None) -> Person:
        """Names are told apart without regard to capitals."""
        return self.get(name__iexact=username)

    def create_person(self, name: str, password: str, role: str, **preferences: str) -> Person:
        person = self.model(name=name.strip(), role=role, **preferences)
        person.set_password(password)
        person.save(using=self._db)
        return person


class Person(AbstractBaseUser):
    """Somebody who signs in: owner, cutter or counter, with the language, unit and theme they like."""

    name = models.CharField(max_length=60, unique=True)
    role = models.CharField(max_length=10, choices=[(OWNER, OWNER), (CUTTER, CUTTER), (COUNTER, COUNTER)])
    language = models.CharField(max_length=2, default="en", choices=[("en", "English"), ("es", "Español")])
    weight_unit = models.CharField(max_length=2, choices=Units.choices, default=Units.LB)
    theme = models.CharField(max_length=5, choices=Theme.choices, default=Theme.AUTO)
    is_active = models.BooleanField(default=True)

    USERNAME_FIELD = "name"
    REQUIRED_FIELDS: ClassVar[list[str]] = []
    objects = PersonManager()

    class Meta:
        constraints = (
            models.UniqueConstraint(Lower("name"), name="person_name_once"),
            models.CheckConstraint(condition=models.Q(role__in=ROLES), name="person_role"),
        )

    def __str__(self) -> str:
        return self.name
