"""The price pages: cost, margin and the list that earns it, what if, the list set, the board to print and to show."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.files.sheets.pdf_out import price_board_pdf, price_list_pdf
from gambrel.measures import CannotDo
from gambrel.price.what_if import WhatIf
from gambrel.shop.access import OWNER, VISITOR, role_of
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import today
from gambrel.shop.pages.base.answers import paper_of, pdf_answer
from gambrel.shop.pages.base.refusals import tell_findings
from gambrel.shop.pages.prices.forms import SetForm, WhatIfForm
from gambrel.shop.records.models import Demand
from gambrel.shop.records.selectors import prices as selector
from gambrel.shop.records.selectors.prices import group_name
from gambrel.shop.records.services import prices as service
from gambrel.shop.records.services.prices import NewPrice
from gambrel.shop.records.week import kinds_of_shop


@require_GET
def prices(request: ShopRequest) -> HttpResponse:
    """Everything that is tried is in the address and nothing is stored; the counter sees the list alone."""
    if role_of(request) != OWNER:
        return render(request, "prices/price_list.html", {"board": selector.board_page()})
    products, kinds = list(Demand.objects.all()), kinds_of_shop()
    groups = list(dict.fromkeys(one.group for one in products))
    group = request.GET.get("group", "")
    group = group if group in groups else next(iter(groups), "")
    form = _what_if_form(request, request.GET, products, group)
    valid = form.is_bound and form.is_valid()
    page = selector.prices_page(request.shop, form.what_if() if valid else WhatIf())
    rows = [(line, form[f"price-{line.pk}"]) for line in page.lines if line.group == group]
    tried = form.tried() if valid else []
    context = {
        "page": page, "form": form, "rows": rows, "tried": tried, "group": group,
        "groups": [(one, group_name(one, kinds), urlencode([*tried, ("group", one)])) for one in groups],
        "elsewhere": [(name, text) for name, text in tried if name not in {field.name for _, field in rows}
                      and name.startswith("price-")],
        "set_form": SetForm(initial={"shown_plan": str(page.plan.key) if page.plan else ""}),
        "lists": selector.recent_lists(),
    }  # fmt: skip
    return render(request, "prices/prices.html", context, status=400 if form.is_bound and not valid else 200)


def _what_if_form(request: ShopRequest, data: QueryDict, products: list[Demand], group: str) -> WhatIfForm:
    """Fields for the products of the group that is shown, and for any other whose price was typed."""
    wanted = [one for one in products if one.group == group or data.get(f"price-{one.pk}")]
    return WhatIfForm(data or None, shop=request.shop, unit=request.weight_unit, products=wanted)


@require_POST
def set_prices(request: ShopRequest) -> HttpResponse:
    """What was shown is worked out once more and becomes the list that holds."""
    products = list(Demand.objects.all())
    form, set_form = _what_if_form(request, request.POST, products, ""), SetForm(request.POST)
    if not (form.is_valid() and set_form.is_valid()):
        for error in [
            error for one in (form, set_form) for errors in one.errors.values() for error in errors
        ]:
            messages.error(request, str(error))
        return redirect("prices")
    page = selector.prices_page(request.shop, form.what_if())
    back = redirect(f"{reverse('prices')}?{urlencode(form.tried())}")
    if set_form.cleaned_data["shown_plan"] != (str(page.plan.key) if page.plan else ""):
        messages.error(request, _("The shop works by another plan now: look at the prices again."))
        return back
    new = [NewPrice(line.slug, line.group, line.new_cents_per_kg, line.cost_cents_per_kg, line.by_hand)
           for line in page.lines]  # fmt: skip
    try:
        service.set_list(new, by=person_of(request), note=set_form.cleaned_data["note"],
                         plan_with_it=set_form.cleaned_data["plan_with_it"])  # fmt: skip
    except CannotDo as refusal:
        tell_findings(request, refusal.findings)
        return back
    messages.success(request, _("This list holds from now on."))
    return redirect("prices")


@require_POST
def price_board_public(request: ShopRequest) -> HttpResponse:
    """The owner shows the board to anybody, or keeps it to the shop."""
    public = request.POST.get("public") == "1"
    service.show_prices_to_all(request.shop, public=public, by=person_of(request))
    messages.success(
        request, _("Anybody may see the board now.") if public else _("The board is for the shop alone now.")
    )
    return redirect("prices")


TURN_SECONDS = 30
"""How long a board of several groups shows one before it goes on to the next."""


@require_GET
def price_board(request: ShopRequest) -> HttpResponse:
    """The list on a screen over the counter: group after group, each fetched anew, until somebody holds it still."""
    if role_of(request) == VISITOR and not request.shop.prices_are_public:
        return redirect("/sign-in/?next=/prices/board/")
    board, show = selector.board_page(), request.GET.get("show", "0")
    names = [name for name, _lines in board.groups]
    turn = int(show) % len(names) if names and show.isascii() and show.isdigit() and len(show) < 4 else 0
    shown = board.groups if show == "all" else board.groups[turn : turn + 1]
    context = {
        "board": board,
        "shown": shown,
        "names": list(enumerate(names)),
        "turn": None if show == "all" else turn,
    }
    answer = render(request, "prices/price_board.html", context)
    if "hold" not in request.GET:
        # By a header: a screen without a keyboard goes on by itself, and whoever reads it can hold it still.
        following = "all" if show == "all" else str((turn + 1) % max(1, len(names)))
        answer.headers["Refresh"] = f"{TURN_SECONDS}; url={reverse('price_board')}?show={following}"
    return answer


@require_GET
def price_board_sheet(request: ShopRequest) -> HttpResponse:
    """The board to print."""
    sheet = selector.board_sheet(request.shop, _("Prices"), today())
    return pdf_answer(price_board_pdf(sheet, paper=paper_of(request)), f"price-board-{today()}")


@require_GET
def price_list_sheet(request: ShopRequest) -> HttpResponse:
    """The list with costs, for the owner."""
    sheet = selector.list_sheet(request.shop, _("Price list with costs"), today())
    return pdf_answer(price_list_pdf(sheet, paper=paper_of(request)), f"price-list-{today()}")
