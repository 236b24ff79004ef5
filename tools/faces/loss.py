"""What the network is to get right, in one number, and how much of the eye it finds."""

from __future__ import annotations

import torch
from network import CLASSES
from torch import Tensor, nn
from torch.nn import functional as F
from views import UNTOLD, Shown

EYE = CLASSES.index("eye")
EDGE_WORTH = 3.0
PLACE_WORTH, SIDE_WORTH, VERDICT_WORTH = 0.5, 0.3, 0.3


def _full(maps: Tensor) -> Tensor:
    """The maps at the size of the view."""
    return F.interpolate(maps.float(), scale_factor=2.0, mode="bilinear", align_corners=False)


def loss_of(maps: Tensor, judged: Tensor, shown: Shown) -> Tensor:
    """Classes with weight on the eye's edge, overlap of the eye, where it lies, and what the picture is."""
    logits = _full(maps[:, : len(CLASSES)])
    eye = (shown.marks == EYE).float()
    edge = F.max_pool2d(eye[:, None], 9, 1, 4) + F.max_pool2d(
        -eye[:, None], 9, 1, 4
    )  # 1 near the edge, else 0
    weight = 1.0 + EDGE_WORTH * edge[:, 0]
    crossed = F.cross_entropy(logits, shown.marks, reduction="none", label_smoothing=0.02)
    total = (crossed * weight).sum() / weight.sum()
    soft = logits.softmax(1)[:, EYE]
    met = (soft * eye).sum((1, 2))
    total = total + (1 - (2 * met + 50) / (soft.sum((1, 2)) + eye.sum((1, 2)) + 50)).mean()
    total = total + _place_loss(_full(maps[:, len(CLASSES) :]), shown, eye > 0)
    judging = F.cross_entropy(judged.float(), shown.verdict, ignore_index=UNTOLD, reduction="sum")
    return total + VERDICT_WORTH * judging / (shown.verdict != UNTOLD).sum().clamp(min=1)


def _place_loss(place: Tensor, shown: Shown, eye: Tensor) -> Tensor:
    """How far off the pixels of the eye are about chine and outside; nothing where these are not known."""
    inside = eye & ~torch.isnan(shown.along)
    sided = eye & ~torch.isnan(shown.out[:, 0])[:, None, None]
    outward = shown.out.nan_to_num()[:, :, None, None]
    along_off = ((place[:, 0] - shown.along.nan_to_num()).abs() * inside).sum() / inside.sum().clamp(min=1)
    out_off = ((place[:, 1:3] - outward).abs().mean(1) * sided).sum() / sided.sum().clamp(min=1)
    return PLACE_WORTH * along_off + SIDE_WORTH * out_off


@torch.no_grad()
def overlap(net: nn.Module, shown: Shown) -> float:
    """Mean intersection over union of the eye on one batch."""
    net.eval()
    maps, _ = net(shown.seen)
    net.train()
    found, eye = _full(maps[:, : len(CLASSES)]).argmax(1) == EYE, shown.marks == EYE
    has = eye.sum((1, 2)) > 200
    return float(((found & eye).sum((1, 2)) / (found | eye).sum((1, 2)).clamp(min=1))[has].mean())
