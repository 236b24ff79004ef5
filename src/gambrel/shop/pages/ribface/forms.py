"""What a person gives for a rib face: a photograph, help with measuring it, or dots and ruler."""

from __future__ import annotations

import json
from math import isfinite
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from gambrel.files.outline_file import KnownLength
from gambrel.files.photograph import MOST_BYTES
from gambrel.shop.pages.base.fields import AreaField, LengthField
from gambrel.shop.records.services.ribface import HandFigures
from gambrel.standards.marbling import score_of_words

TAP_WIDTH_PX = 320
"""Width at which the picture stands that is a button: a browser without script sends where it was tapped."""

ENDS = (
    ("", _("as found")),
    ("left", _("left")),
    ("right", _("right")),
    ("top", _("top")),
    ("bottom", _("bottom")),
)


class PhotographForm(forms.Form):
    """One photograph, taken now or chosen; the file's own name is not kept."""

    taken = forms.FileField(
        label=_("Take it now"), required=False,
        widget=forms.ClearableFileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )  # fmt: skip
    chosen = forms.FileField(
        label=_("Choose one that was taken"), required=False,
        widget=forms.ClearableFileInput(attrs={"accept": "image/*,.heic,.heif"}),
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        sent = self.cleaned_data.get("taken") or self.cleaned_data.get("chosen")
        if sent is None and not self.errors:
            raise ValidationError(_("No photograph came. Take one now, or choose one that was taken."))
        if sent is not None and sent.size > MOST_BYTES:
            raise ValidationError(_("The photograph has more than 80 million bytes. Send it as JPEG."))
        return {"photograph": sent}


def _share_field(label: Any) -> forms.FloatField:
    return forms.FloatField(label=label, required=False, min_value=0, max_value=100,
                            widget=forms.NumberInput(attrs={"step": "0.01"}))  # fmt: skip


class MeasureForm(forms.Form):
    """Help with measuring: places are given in percent of the picture across and down, as it is seen."""

    outline = forms.CharField(required=False, max_length=200_000, widget=forms.HiddenInput)
    across = _share_field(_("Point in the eye: % across"))
    down = _share_field(_("Point in the eye: % down"))
    chine = forms.ChoiceField(label=_("The chine lies to the"), required=False, choices=ENDS)
    from_across = _share_field(_("One end: % across"))
    from_down = _share_field(_("One end: % down"))
    to_across = _share_field(_("Other end: % across"))
    to_down = _share_field(_("Other end: % down"))
    length = LengthField(
        label=_("How long that is, such as 120mm or 5in"), required=False, low=5.0, high=2000.0
    )

    no_scale = forms.BooleanField(label=_("Leave the sizes out: marbling and colour alone"), required=False)

    def __init__(self, *args: Any, size_px: tuple[int, int], **kwargs: Any) -> None:
        """`size_px`: width and height of the upright picture."""
        super().__init__(*args, **kwargs)
        self.size_px = size_px

    def clean_outline(self) -> Any:
        """The points as they came, in pixels of the upright picture; None for none."""
        text = self.cleaned_data["outline"]
        if not text:
            return None
        try:
            points = [[float(x), float(y)] for x, y in json.loads(text)]
        except (ValueError, TypeError, OverflowError, RecursionError) as error:
            raise ValidationError(_("The outline did not come through whole. Drag it again.")) from error
        if not all(isfinite(along) for point in points for along in point):
            raise ValidationError(_("The outline did not come through whole. Drag it again."))
        return points

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        helped = (self.seed(), self.ends(), given.get("outline"), given.get("chine"), given.get("no_scale"))
        if not self.errors and not any(helped):
            raise ValidationError(
                _("Nothing to measure again by. Move the outline, tap the eye or name the chine.")
            )
        if not self.errors and (self.ends() is None) != (given.get("length") is None):
            raise ValidationError(_("A known length wants both its ends and how long it is."))
        return given

    def seed(self) -> tuple[float, float] | None:
        """The point in the eye [px, upright]: tapped on the picture that is a button, or typed."""
        x, y = str(self.data.get("at.x", "")), str(self.data.get("at.y", ""))
        if x.isdigit() and y.isdigit() and len(x + y) < 10 and (x, y) != ("0", "0"):  # 0, 0 is a key, no tap
            scale = self.size_px[0] / TAP_WIDTH_PX
            return float(x) * scale, float(y) * scale
        return self._point("across", "down")

    def ends(self) -> tuple[tuple[float, float], tuple[float, float]] | None:
        """Both ends of the known length [px, upright]."""
        start, end = self._point("from_across", "from_down"), self._point("to_across", "to_down")
        return None if start is None or end is None else (start, end)

    def known_length(self, ends: list[list[float]] | None) -> KnownLength | None:
        """The length between two stored points."""
        if ends is None:
            return None
        (x1, y1), (x2, y2) = ends
        return KnownLength((x1, y1), (x2, y2), float(self.cleaned_data["length"]))

    def _point(self, across: str, down: str) -> tuple[float, float] | None:
        x, y = self.cleaned_data.get(across), self.cleaned_data.get(down)
        if x is None or y is None:
            return None
        return x / 100 * self.size_px[0] - 0.5, y / 100 * self.size_px[1] - 0.5


class ByHandForm(forms.Form):
    """Dot grid and ruler, or figures that somebody else read."""

    dots_inside_count = forms.IntegerField(
        label=_("Dots inside the eye"), required=False, min_value=0, max_value=2000
    )
    dots_on_edge_count = forms.IntegerField(
        label=_("Dots on its edge"), required=False, min_value=0, max_value=2000
    )
    ribeye = AreaField(label=_("Or the area, such as 12.8in2 or 82.6cm2"), required=False)
    fat = LengthField(label=_("Fat over the eye, such as 0.4in or 10mm"), required=False)
    marbling = forms.CharField(label=_("Marbling, such as Small 30 or 430"), required=False, max_length=40)

    def clean_marbling(self) -> float | None:
        text = self.cleaned_data["marbling"].strip()
        if not text:
            return None
        said = score_of_words(text)
        if said is not None:
            return said[0]
        try:
            return float(text)
        except ValueError as error:
            raise ValidationError(_("Give a degree such as Small 30, or a score from 0 to 1000.")) from error

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if given.get("dots_inside_count") is not None and given.get("ribeye") is not None:
            raise ValidationError(_("Give the dots or the area, not both."))
        if given.get("dots_on_edge_count") is not None and given.get("dots_inside_count") is None:
            raise ValidationError(_("Dots on the edge count only beside those inside."))
        return given

    def figures(self) -> HandFigures:
        given = self.cleaned_data
        return HandFigures(given["dots_inside_count"], given["dots_on_edge_count"], given["fat"], given["marbling"],
                           given["ribeye"])  # fmt: skip
