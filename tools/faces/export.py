"""Trained weights to the ONNX file that ships, half precision inside, and a check that both say the same.

    python tools/faces/export.py eye.pt src/gambrel/ribface/data/eye.onnx
    python tools/faces/export.py first.pt src/gambrel/ribface/data/eye.onnx --blend later.pt --share 0.66

With `--blend` the file holds the mean of two sets of weights of one training, the later with the share given.
"""

from __future__ import annotations

import argparse
import warnings
from pathlib import Path

import numpy as np
import onnx
import onnxruntime
import torch
from network import EyeNet

MOST_BYTES = 12_000_000


def blended(first: Path, later: Path | None, later_share: float) -> dict[str, torch.Tensor]:
    """The weights of a file, or the mean of two files' weights."""
    one = torch.load(first, map_location="cpu")
    two = one if later is None else torch.load(later, map_location="cpu")
    mixed = {}
    for name, tensor in one.items():
        other = two[name]
        if tensor.is_floating_point():
            tensor = ((1 - later_share) * tensor.float() + later_share * other.float()).half().float()
        mixed[name] = tensor
    return mixed


def export(weights: dict[str, torch.Tensor], out: Path) -> float:
    """Write the ONNX file; returns the largest difference of its outputs from PyTorch's on a noise picture."""
    net = EyeNet().eval()
    net.load_state_dict(weights)
    picture = torch.rand(1, 3, 320, 256, generator=torch.Generator().manual_seed(1))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        torch.onnx.export(
            net,
            (picture,),
            str(out),
            input_names=["picture"],
            output_names=["maps", "verdict"],
            dynamic_axes={"picture": {0: "n", 2: "h", 3: "w"}},
            dynamo=False,
            opset_version=17,
        )
    onnx.checker.check_model(onnx.load(out))
    if out.stat().st_size > MOST_BYTES:
        raise SystemExit(f"{out} has {out.stat().st_size:,} bytes; at most {MOST_BYTES:,}")
    with torch.no_grad():
        wanted = [t.numpy() for t in net(picture)]
    made = onnxruntime.InferenceSession(str(out)).run(None, {"picture": picture.numpy()})
    return max(float(np.abs(a - b).max()) for a, b in zip(wanted, made, strict=True))


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("weights", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--blend", type=Path, help="later weights to take the mean with")
    parser.add_argument("--share", type=float, default=0.5, help="share of the later weights")
    args = parser.parse_args()
    weights = blended(args.weights, args.blend, args.share)
    print(f"largest difference {export(weights, args.out):.2e}, {args.out.stat().st_size:,} bytes")
