"""The block's scale: which sides are being cut, every weight that comes off them, weights put right."""

from __future__ import annotations

from typing import Annotated, Any

from django.http import HttpRequest
from ninja import Path, Router, Status

from gambrel.measures import CannotDo, Finding
from gambrel.shop.api.asked import READS, WRITES, one, stop_if_other, writer
from gambrel.shop.api.values import CorrectionIn, CuttingOut, Id, PieceIn, PieceOut, decimal_kg
from gambrel.shop.records.models import Cutting, ScaleWeight
from gambrel.shop.records.services import block

router = Router(tags=["block"])


@router.get("/cuttings", response={200: list[CuttingOut], **READS}, summary="Sides on the block")
def cuttings(request: HttpRequest) -> list[dict[str, Any]]:
    open_ones = (
        Cutting.objects.filter(ended_at__isnull=True).select_related("side__animal").order_by("begun_at")
    )
    return [
        {"id": cutting.pk, "side_id": cutting.side_id, "side": str(cutting.side), "begun_at": cutting.begun_at,
         "begun_kg": cutting.begun_kg, "ended_at": cutting.ended_at}
        for cutting in open_ones
    ]  # fmt: skip


@router.get(
    "/cuttings/{cutting_id}/weights", response={200: list[PieceOut], **READS}, summary="Weights off a side"
)
def weights(request: HttpRequest, cutting_id: Annotated[Id, Path()]) -> Any:
    """Every line, those that were put right and those that put right among them."""
    return one(Cutting.objects.all(), cutting_id).weights.order_by("at", "pk")


@router.post("/cuttings/{cutting_id}/weights", response={201: PieceOut, **WRITES}, summary="Weigh a piece")
def weigh_piece(
    request: HttpRequest, cutting_id: Annotated[Id, Path()], sent: PieceIn
) -> Status[ScaleWeight]:
    device = writer(request)
    cutting = one(Cutting.objects.select_related("side__animal"), cutting_id)
    weight_kg = decimal_kg(sent.weight_kg)
    line = block.weigh_piece(
        cutting, sent.slug, weight_kg=weight_kg, tare_kg=decimal_kg(sent.tare_kg),
        typed=sent.typed or f"{weight_kg} kg", key=sent.key, by=None, device=device.name,
    )  # fmt: skip
    stop_if_other(
        "key", kept=(line.cutting_id, line.slug, line.weight_kg), sent=(cutting.pk, sent.slug, weight_kg)
    )
    return Status(201, line)


@router.post(
    "/weights/{weight_id}/corrections", response={201: PieceOut, **WRITES}, summary="Put a weight right"
)
def correct(
    request: HttpRequest, weight_id: Annotated[Id, Path()], sent: CorrectionIn
) -> Status[ScaleWeight]:
    device = writer(request)
    line = one(ScaleWeight.objects.select_related("cutting__side__animal"), weight_id)
    if sent.taken_out:
        new = block.take_out(line, key=sent.key, by=None, why=sent.why, device=device.name)
        meant = (line.pk, True, line.slug, line.weight_kg)
    elif sent.weight_kg is None:
        raise CannotDo(
            [Finding("weight_kg", "nothing", "the right weight, or taken_out", "Send one of the two.")]
        )
    else:
        weight_kg, slug = decimal_kg(sent.weight_kg), sent.slug or line.slug
        meant = (line.pk, False, slug, weight_kg)
        new = block.correct_weight(line, slug=slug, weight_kg=weight_kg, key=sent.key, by=None,
                                   tare_kg=decimal_kg(sent.tare_kg), typed=sent.typed or f"{weight_kg} kg",
                                   why=sent.why, device=device.name)  # fmt: skip
    stop_if_other("key", kept=(new.corrects_id, new.taken_out, new.slug, new.weight_kg), sent=meant)
    return Status(201, new)
