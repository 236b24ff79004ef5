"""The weights that ship, as the training goes on from them: eye.onnx back to eye.pt.

    python tools/faces/reopen.py src/gambrel/ribface/data/eye.onnx eye.pt

The file that ships has each batch normalisation folded into the convolution before it. Here each gets the mean and
the spread of what passes it over some training renderings, and a gain and shift that undo them: the network says the
same as before, in training and out of it. Prints how far the two are apart.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import onnx
import onnxruntime
import torch
from network import EyeNet
from onnx import numpy_helper
from torch import Tensor, nn
from train import make
from views import Chosen, show

RENDERINGS = 96
FIRST_SEED = 9_000_000


def stored(model: onnx.ModelProto) -> Iterator[tuple[str, list[Tensor]]]:
    """The convolutions, normalisations and linear layers in the order they are run in, with their numbers."""
    known = {one.name: numpy_helper.to_array(one) for one in model.graph.initializer}
    known |= {n.output[0]: numpy_helper.to_array(n.attribute[0].t)
              for n in model.graph.node if n.op_type == "Constant"}  # fmt: skip
    for node in model.graph.node:
        if node.op_type in ("Conv", "BatchNormalization", "Gemm"):
            yield node.op_type, [torch.from_numpy(np.array(known[name])) for name in node.input[1:]]


def layers_in_order(net: EyeNet) -> list[tuple[str, nn.Module]]:
    """The network's own, in the order they are run in."""
    order: list[tuple[str, nn.Module]] = []
    hooks = [
        layer.register_forward_hook(lambda one, _given, _said, name=name: order.append((name, one)))
        for name, layer in net.named_modules()
        if isinstance(layer, nn.Conv2d | nn.BatchNorm2d | nn.Linear)
    ]
    with torch.no_grad():
        net(torch.rand(1, 3, 224, 160))
    for hook in hooks:
        hook.remove()
    return order


def fill(net: EyeNet, model: onnx.ModelProto) -> list[str]:
    """Put the stored numbers into the network; gives the names of the normalisations that were folded away."""
    # The judgement is made half-way and stored last: its layers are matched apart.
    order = layers_in_order(net)
    drawn = iter([one for one in order if not isinstance(one[1], nn.Linear)])
    linear = iter([one for one in order if isinstance(one[1], nn.Linear)])
    folded: list[str] = []
    for kind, numbers in stored(model):
        name, layer = next(linear if kind == "Gemm" else drawn)
        if kind == "BatchNormalization":
            layer.weight.data, layer.bias.data, layer.running_mean, layer.running_var = numbers
            continue
        if numbers[0].shape != layer.weight.shape:
            raise SystemExit(f"{name}: stored {tuple(numbers[0].shape)}, wanted {tuple(layer.weight.shape)}")
        layer.weight.data = numbers[0]
        if layer.bias is not None:
            layer.bias.data = numbers[1]
        elif len(numbers) > 1:
            name, norm = next(drawn)
            nn.init.ones_(norm.weight)
            norm.bias.data = numbers[1]
            norm.running_mean.zero_()
            norm.running_var.fill_(1 - norm.eps)
            folded.append(name)
    return folded


def training_views() -> list[Tensor]:
    """Views of training renderings, from afar and close up."""
    made = [
        make((FIRST_SEED + k, "good" if k % 2 else "mixed", "normal" if k % 3 else "hard"))
        for k in range(RENDERINGS)
    ]
    pictures, labels, axes, boxes = (np.stack([one[part] for one in made]) for part in range(4))
    chosen = Chosen(
        torch.from_numpy(pictures).float() / 255, torch.from_numpy(labels), torch.from_numpy(axes),
        torch.from_numpy(boxes), torch.tensor([one[4] for one in made]),
    )  # fmt: skip
    gen = torch.Generator().manual_seed(1)
    return [show(chosen, gen, close=close, turn=turn).seen for close in (True, False) for turn in (0, 1)]


def unfold(net: EyeNet, folded: list[str]) -> None:
    """Give the folded normalisations what passes them, and undo it in gain and shift."""
    sums = {name: [0.0, torch.zeros(1), torch.zeros(1)] for name in folded}

    def add(name: str, given: Tensor) -> None:
        values = given.transpose(0, 1).flatten(1)
        kept = sums[name]
        kept[:] = [kept[0] + values.shape[1], kept[1] + values.sum(1), kept[2] + (values * values).sum(1)]

    hooks = [
        layer.register_forward_pre_hook(lambda _one, given, name=name: add(name, given[0]))
        for name, layer in net.named_modules()
        if name in sums
    ]
    with torch.no_grad():
        for view in training_views():
            net(view)
    for hook in hooks:
        hook.remove()
    for name, norm in net.named_modules():
        if name in sums:
            count, total, squares = sums[name]
            norm.running_mean = total / count
            norm.running_var = (squares / count - norm.running_mean**2).clamp(min=1e-6)
            norm.weight.data = torch.sqrt(norm.running_var + norm.eps)
            norm.bias.data = norm.bias.data + norm.running_mean


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("shipped", type=Path)
    parser.add_argument("out", type=Path)
    given = parser.parse_args()
    reopened = EyeNet().eval()
    unfold(reopened, fill(reopened, onnx.load(given.shipped)))
    picture = torch.rand(1, 3, 224, 288, generator=torch.Generator().manual_seed(1))
    with torch.no_grad():
        said = [part.numpy() for part in reopened(picture)]
    shipped = onnxruntime.InferenceSession(str(given.shipped)).run(None, {"picture": picture.numpy()})
    print(
        f"largest difference {max(float(np.abs(a - b).max()) for a, b in zip(said, shipped, strict=True)):.2e}"
    )
    torch.save(
        {name: t.half() if t.is_floating_point() else t for name, t in reopened.state_dict().items()},
        given.out,
    )
