"""The rail: every side where it hangs; hang, move, weigh, put a weight right, take down."""

from __future__ import annotations

from datetime import UTC, datetime, time

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from gambrel.files.drawing.rails import RailWords
from gambrel.measures import CannotDo, Finding
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now, today
from gambrel.shop.pages.base.answers import form_page, get_or_post
from gambrel.shop.pages.base.putting_right import put_right
from gambrel.shop.pages.rail.forms import CorrectForm, HangForm, MoveForm, TakeDownForm, WeighForm
from gambrel.shop.records.models import Side, SideState, Weighing
from gambrel.shop.records.selectors import rail as rails
from gambrel.shop.records.services import rail as service
from gambrel.shop.records.services.animals import bring_in, free_places
from gambrel.shop.records.week import kinds_offered


def _words() -> RailWords:
    """Of the states and the picture, in the language of the page."""
    return RailWords(
        early=_("not yet"), ready=_("ready"), late=_("overdue"), day=_("day {}"),
        window=_("ready from day {} to {}"), empty=_("empty"),
    )  # fmt: skip


def _side(side_id: int) -> Side:
    rows = Side.objects.select_related("animal", "animal__supplier", "animal__bill", "rail", "rail__room")
    return get_object_or_404(rows, pk=side_id)


@require_GET
def rail(request: ShopRequest) -> HttpResponse:
    page = rails.rail_page(request.shop, on=today(), words=_words())
    return render(request, "rail/rail.html", {"page": page, "words": _words()})


@get_or_post
def hang_animal(request: ShopRequest) -> HttpResponse:
    """An animal with its kill, bill and hot weights, all on one form."""
    form = HangForm(request.POST or None, kinds=kinds_offered(request.shop), unit=request.weight_unit,
                    initial={"killed_on": today()})  # fmt: skip
    found: tuple[Finding, ...] = ()
    if request.method == "POST" and form.is_valid():
        try:
            sides = bring_in(
                form.animal(), hot_kg=form.hot_kg(), at=_hung_at(form), by=person_of(request),
                paid=form.paid_if_known(), rail=form.cleaned_data["rail"], per_side_mm=request.shop.rail_per_side_mm,
                hot_typed=form.hot_typed(),
            )  # fmt: skip
        except CannotDo as refusal:
            found = tuple(refusal.findings)
        else:
            messages.success(request, _("%(tag)s hangs.") % {"tag": sides[0].animal.tag})
            return redirect("rail")
    return form_page(request, "rail/hang_animal.html", {"form": form, "found": found})


def _hung_at(form: HangForm) -> datetime:
    """Noon at the shop on the day of the kill, but never in time to come."""
    killed = form.cleaned_data["killed_on"]
    noon = datetime.combine(killed, time(12), timezone.get_current_timezone()).astimezone(UTC)
    return min(noon, now())


@require_GET
def side(request: ShopRequest, side_id: int) -> HttpResponse:
    """One side: its curve, weights, moves and trail, and what can be done with it."""
    one = _side(side_id)
    context = {"page": rails.side_page(one, on=today()), "words": _words(),
               "weigh": WeighForm(unit=request.weight_unit), "move": MoveForm(), "down": TakeDownForm()}  # fmt: skip
    return render(request, "rail/side.html", context)


@get_or_post
def weigh_side(request: ShopRequest, side_id: int) -> HttpResponse:
    """A weight; what cannot be true is asked about before it is kept."""
    one = _side(side_id)
    form, found = WeighForm(request.POST or None, unit=request.weight_unit), tuple[Finding, ...]()
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        sent_before = said["key"] is not None and Weighing.objects.filter(key=said["key"]).exists()
        found = () if sent_before else rails.slips(one, weight_kg=said["weight"], at=said["at"])
        if not found or said["anyway"]:
            service.weigh(one, weight_kg=said["weight"], typed=form.typed(), at=said["at"], by=person_of(request),
                          key=said["key"], why=said["why"])  # fmt: skip
            messages.success(request, _("Weighed: %(typed)s.") % {"typed": form.typed()})
            return redirect("side", side_id)
    context = {"side": one, "form": form, "found": found}
    return render(request, "rail/weigh_side.html", context, status=400 if request.method == "POST" else 200)


@get_or_post
def correct_weighing(request: ShopRequest, weighing_id: int) -> HttpResponse:
    """Put a weight right by a new line; the wrong one stays to be seen."""
    wrong = get_object_or_404(Weighing.objects.select_related("side", "side__animal", "by"), pk=weighing_id)
    initial = {"at": timezone.localtime(wrong.at).strftime("%Y-%m-%dT%H:%M")}
    form = CorrectForm(request.POST or None, unit=request.weight_unit, initial=initial)

    def write() -> None:
        said = form.cleaned_data
        out = bool(said["take_out"])
        kg = wrong.weight_kg if out else said["weight"]
        slips = () if out else rails.slips(wrong.side, weight_kg=kg, at=said["at"], instead_of=wrong)
        if slips and not said["anyway"]:
            raise CannotDo(list(slips))
        service.weigh(
            wrong.side, weight_kg=kg, typed=wrong.typed if out else form.typed(), at=said["at"],
            by=person_of(request), key=said["key"], corrects=wrong, why=said["why"], taken_out=out,
        )  # fmt: skip

    return put_right(request, "rail/correct_weighing.html", form, write=write, back=("side", wrong.side_id),
                     shown=lambda: {"wrong": wrong, "side": wrong.side})  # fmt: skip


@get_or_post
def move_side(request: ShopRequest, side_id: int) -> HttpResponse:
    one = _side(side_id)
    form, found = MoveForm(request.POST or None), tuple[Finding, ...]()
    if request.method == "POST" and form.is_valid():
        to, place_m = form.cleaned_data["rail"], form.cleaned_data["place_m"]
        try:
            place = (
                free_places(to, 1, request.shop.rail_per_side_mm)[0]
                if place_m is None
                else round(1000 * place_m)
            )
            service.move(one, rail=to, position_mm=place, by=person_of(request))
        except CannotDo as refusal:
            found = tuple(refusal.findings)
        else:
            messages.success(request, _("Moved to %(rail)s.") % {"rail": to})
            return redirect("side", side_id)
    context = {"side": one, "form": form, "found": found}
    return render(request, "rail/move_side.html", context, status=400 if request.method == "POST" else 200)


@get_or_post
def take_down(request: ShopRequest, side_id: int) -> HttpResponse:
    """Off the rail: to the block, or away whole with the reason."""
    one = _side(side_id)
    form = TakeDownForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        if one.state != SideState.HANGING:
            messages.error(request, _("It does not hang any more."))
            return redirect("side", side_id)
        state = form.cleaned_data["state"]
        if state == SideState.ON_BLOCK:
            return redirect("begin_cutting", side_id)
        service.move(
            one, rail=None, position_mm=None, by=person_of(request), why=form.cleaned_data["why"], state=state
        )
        messages.success(request, _("Taken down."))
        return redirect("rail")
    context = {"side": one, "form": form}
    return render(request, "rail/take_down.html", context, status=400 if request.method == "POST" else 200)
