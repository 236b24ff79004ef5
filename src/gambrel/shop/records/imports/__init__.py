"""Tables that somebody brings: which columns each may have, and how a row becomes records."""

from gambrel.shop.records.imports import animals, counter, suppliers, weighings
from gambrel.shop.records.imports.subject import Subject

SUBJECTS: dict[str, Subject] = {
    subject.name: subject
    for subject in (suppliers.SUPPLIERS, animals.ANIMALS, weighings.WEIGHINGS, counter.DEMAND, counter.ORDERS)
}

__all__ = ["SUBJECTS", "Subject"]
