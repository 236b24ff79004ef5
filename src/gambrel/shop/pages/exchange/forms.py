"""A table to bring, and a key to make."""

from __future__ import annotations

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.core.validators import ProhibitNullCharactersValidator
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.shop.records.import_files import LARGEST_BYTES

SAID = {
    "suppliers": gettext_lazy("suppliers"), "animals": gettext_lazy("animals with their sides"),
    "weighings": gettext_lazy("weights of hanging sides"), "demand": gettext_lazy("what sells at which price"),
    "orders": gettext_lazy("orders"),
}  # fmt: skip


class BringForm(forms.Form):
    subject = forms.ChoiceField(label=gettext_lazy("What is in the table"), choices=list(SAID.items()))
    table = forms.FileField(
        label=gettext_lazy("The table, as CSV or workbook (.xlsx)"), allow_empty_file=True, max_length=1000
    )

    def clean_table(self) -> UploadedFile[bytes]:
        table: UploadedFile[bytes] = self.cleaned_data["table"]
        if not table.size or table.size > LARGEST_BYTES:
            raise forms.ValidationError(_("Wanted: a table with something in it, of at most 5 MB."))
        return table


class KeyForm(forms.Form):
    name = forms.CharField(
        label=gettext_lazy("Name of the scale, scanner or program"), max_length=60,
        validators=[ProhibitNullCharactersValidator()],
    )  # fmt: skip
    may_write = forms.BooleanField(
        label=gettext_lazy("It may weigh and write, not only read"), required=False
    )
