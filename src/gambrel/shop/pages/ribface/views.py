"""The rib-face pages: take the photograph, look at the outline, put it right, accept it; faces side by side."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.measures import CannotDo, Finding
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now, today
from gambrel.shop.core_words import finding_in_words_of_page, in_words_of_page
from gambrel.shop.pages.ribface.forms import TAP_WIDTH_PX, ByHandForm, MeasureForm, PhotographForm
from gambrel.shop.records import photograph_files
from gambrel.shop.records.models import FaceReading, Photograph, Side
from gambrel.shop.records.selectors import ribface as faces
from gambrel.shop.records.selectors.ribface_compare import compare_page
from gambrel.shop.records.services import ribface as service

MOST_COMPARED = 6
KEEP = "private, max-age=604800, immutable"
"""A picture never changes under its address; only the browser it was shown to may keep it."""


@require_GET
def ribfaces(request: ShopRequest) -> HttpResponse:
    """Every hanging side: read, waiting to be looked at, or still to be photographed."""
    return render(request, "ribface/ribfaces.html", {"lines": faces.face_lines(today=today())})


@require_GET
def ribface(request: ShopRequest, side_id: int) -> HttpResponse:
    asked = request.GET.get("reading", "")
    return _show(
        request, _side(side_id), reading_id=int(asked) if asked.isdigit() and len(asked) < 18 else None
    )


def _side(side_id: int) -> Side:
    return get_object_or_404(Side.objects.select_related("animal"), pk=side_id)


def _show(
    request: ShopRequest, side: Side, *, reading_id: int | None = None, status: int = 200,
    findings: tuple[Finding, ...] = (), photograph: PhotographForm | None = None,
    measure: MeasureForm | None = None, by_hand: ByHandForm | None = None,
) -> HttpResponse:  # fmt: skip
    """The page of a side with the forms as they were filled in and all that is wrong."""
    page = faces.face_page(side, reading_id=reading_id)
    overlay = page.overlay
    size_px = (overlay.width_px, overlay.height_px) if overlay else (1, 1)
    given = (page.shown.answer.get("by_hand") or {}) if page.shown else {}
    context = {
        "page": page,
        "findings": findings,
        "refused": _refusal(page.shown),
        "warnings": [in_words_of_page(one) for one in page.shown.answer.get("warnings", ())]
        if page.shown
        else [],
        "photograph_form": photograph or PhotographForm(auto_id="photograph_%s"),
        "measure_form": measure
        or MeasureForm(size_px=size_px, initial={"chine": given.get("chine")}, auto_id="measure_%s"),
        "by_hand_form": by_hand or ByHandForm(auto_id="hand_%s"),
        "tap": (TAP_WIDTH_PX, round(TAP_WIDTH_PX * size_px[1] / size_px[0])),
    }
    return render(request, "ribface/ribface.html", context, status=status)


def _refusal(reading: FaceReading | None) -> Finding | None:
    """Why the photograph was not read and what to do, in the language of the page."""
    if reading is None or not reading.refused:
        return None
    found = reading.answer.get("finding") or {"where": "", "given": reading.reason, "wanted": "", "do": ""}
    return finding_in_words_of_page(Finding(**found))


@require_POST
def read_ribface(request: ShopRequest, side_id: int) -> HttpResponse:
    """A photograph comes in: it is looked at by its content, kept and read."""
    side = _side(side_id)
    form = PhotographForm(request.POST, request.FILES, auto_id="photograph_%s")
    if not form.is_valid():
        return _show(request, side, photograph=form, status=400)
    try:
        reading = service.read_and_keep(
            side, form.cleaned_data["photograph"].read(), by=person_of(request), at=now()
        )
    except CannotDo as refusal:
        return _show(request, side, findings=tuple(refusal.findings), status=400)
    return redirect(_address(reading))


def _address(reading: FaceReading) -> str:
    return f"{reverse('ribface', args=[reading.side_id])}?reading={reading.pk}"


def _reading(reading_id: int) -> FaceReading:
    return get_object_or_404(FaceReading.objects.select_related("photograph", "side__animal"), pk=reading_id)


@require_POST
def measure_ribface(request: ShopRequest, reading_id: int) -> HttpResponse:
    """Measured again by the outline, the point, the chine or the length that a person gave."""
    reading = _reading(reading_id)
    overlay = faces.overlay_of(reading)
    size_px = (overlay.width_px, overlay.height_px) if overlay else (1, 1)
    form = MeasureForm(request.POST, size_px=size_px, auto_id="measure_%s")
    if not form.is_valid():
        return _show(request, reading.side, reading_id=reading.pk, measure=form, status=400)
    outline, seed, ends = form.cleaned_data["outline"], form.seed(), form.ends()
    try:
        again = service.measure_again(
            reading, by=person_of(request), at=now(),
            outline=faces.stored_points(reading, outline) if outline else None,
            seed=_first(faces.stored_points(reading, [list(seed)])) if seed and not outline else None,
            chine=form.cleaned_data["chine"] or None,
            scale=not form.cleaned_data["no_scale"],
            length=form.known_length(faces.stored_points(reading, [*map(list, ends)]) if ends else None),
        )  # fmt: skip
    except CannotDo as refusal:
        return _show(request, reading.side, reading_id=reading.pk, measure=form, findings=tuple(refusal.findings),
                     status=400)  # fmt: skip
    return redirect(_address(again))


def _first(points: list[list[float]]) -> tuple[float, float]:
    return points[0][0], points[0][1]


@require_POST
def ribface_by_hand(request: ShopRequest, side_id: int) -> HttpResponse:
    """Dots and ruler instead of a photograph."""
    side = _side(side_id)
    form = ByHandForm(request.POST, auto_id="hand_%s")
    if not form.is_valid():
        return _show(request, side, by_hand=form, status=400)
    try:
        reading = service.enter_by_hand(side, form.figures(), by=person_of(request), at=now())
    except CannotDo as refusal:
        return _show(request, side, by_hand=form, findings=tuple(refusal.findings), status=400)
    return redirect(_address(reading))


@require_POST
def accept_ribface(request: ShopRequest, reading_id: int) -> HttpResponse:
    reading = _reading(reading_id)
    try:
        service.accept(reading, by=person_of(request), at=now())
    except CannotDo as refusal:
        return _show(
            request, reading.side, reading_id=reading.pk, findings=tuple(refusal.findings), status=400
        )
    messages.success(request, _("This reading counts for %(side)s from now on.") % {"side": reading.side})
    return redirect(_address(reading))


@require_GET
def ribface_picture(request: ShopRequest, photograph_id: int, size: str) -> HttpResponse:
    """A photograph for the screen, upright, without what the camera wrote beside it."""
    if size not in photograph_files.SIZES_PX:
        return render(request, "base/not_found.html", status=404)
    photograph = get_object_or_404(Photograph, pk=photograph_id)
    try:
        data = photograph_files.copy_for_screen(photograph, size)
    except CannotDo:
        return render(request, "base/not_found.html", status=404)
    return HttpResponse(data, content_type="image/jpeg", headers={"Cache-Control": KEEP})


@require_GET
def compare_ribfaces(request: ShopRequest) -> HttpResponse:
    """Faces at the same scale; without a choice those that count, a few of them."""
    asked = [int(one) for one in request.GET.getlist("side") if one.isdigit() and len(one) < 18]
    page = compare_page(asked, most_count=MOST_COMPARED, today=today())
    return render(request, "ribface/compare_ribfaces.html", {"page": page, "most": MOST_COMPARED})
