"""Train the eye network on rendered faces, for a stated time, on one GPU.

    python tools/faces/train.py --imagenet lite0.pth --minutes 9 --out OUT [--from OUT/eye.pt] [--seed 1]

Renderings are made while it trains, from seeds 0 upwards; seeds from 50,000,000 are never touched here. The same seed,
machine and time give nearly the same weights (how many renderings are ready when is the machine's business).
Writes eye.pt (weights, half precision) and training.csv (time, steps, pictures, loss, held-in IoU).
"""

from __future__ import annotations

import argparse
import csv
import itertools
import math
import multiprocessing as mp
import queue
import random
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import torch
from network import CLASSES, VERDICTS, EyeNet
from torch import Tensor, nn
from torch.nn import functional as F

EYE = CLASSES.index("eye")
PICTURE = (896, 672)  # width, height of a rendering
VIEW = 320  # side of what the network sees
BATCH = 64
LEARNING_RATE = 2e-3
WARM_SHARE = 0.05
REASONS = {"not_a_rib_face": VERDICTS.index("no rib face"), "two_animals": VERDICTS.index("two faces"),
           "eye_cut_off": VERDICTS.index("eye cut off")}  # fmt: skip


class Store:
    """Renderings on the device: pictures (n, 3, h, w) RGB and labels (n, h, w) as bytes, axes (n, 6), verdicts (n,)."""

    def __init__(self, most: int, device: torch.device) -> None:
        w, h = PICTURE
        self.most, self.count, self.device = most, 0, device
        self.pictures = torch.zeros((most, 3, h, w), dtype=torch.uint8, device=device)
        self.labels = torch.zeros((most, h, w), dtype=torch.uint8, device=device)
        self.axes = torch.full((most, 6), torch.nan, device=device)
        self.verdicts = torch.zeros(most, dtype=torch.long, device=device)

    def add(self, made: Made, rng: random.Random) -> None:
        """Keep a rendering, in the place of another one when the store is full."""
        place = self.count if self.count < self.most else rng.randrange(self.most)
        self.count = min(self.most, self.count + 1)
        picture, labels, axis, verdict = made
        self.pictures[place] = torch.from_numpy(picture).to(self.device).permute(2, 0, 1)
        self.labels[place] = torch.from_numpy(labels).to(self.device)
        self.axes[place] = torch.from_numpy(axis).to(self.device)
        self.verdicts[place] = verdict

    def some(self, number: int, gen: torch.Generator) -> tuple[Tensor, Tensor, Tensor, Tensor]:
        at = torch.randint(self.count, (number,), generator=gen, device=self.device)
        return self.pictures[at].float() / 255.0, self.labels[at], self.axes[at], self.verdicts[at]


Job = tuple[int, str, str]
"""Seed, what is wanted, difficulty."""


Made = tuple[np.ndarray, np.ndarray, np.ndarray, int]
"""Picture (h, w, 3) RGB, labels (h, w), axis (6,), verdict."""


def make_or_say(job: Job) -> Made | str:
    """A rendering, or what went wrong with its seed: one bad seed must not end the training."""
    try:
        return make(job)
    except Exception as error:  # noqa: BLE001 - told on the console by the trainer, then left out
        return f"seed {job}: {error!r}"


def make(job: Job) -> tuple[np.ndarray, np.ndarray, np.ndarray, int]:
    """Render one seed in a worker process."""
    import cv2
    from render.scene import render_face

    cv2.setNumThreads(1)
    seed, want, difficulty = job
    made = render_face(seed, size=PICTURE, want=want, difficulty=difficulty)
    axis = np.full(6, np.nan, np.float32)
    verdict = REASONS.get(made.truth["refuse_reason"] or "", 0)
    if verdict == 0 and (made.labels == EYE).any():
        axis = axis_of(made.truth)
    return np.ascontiguousarray(made.bgr[:, :, ::-1]), made.labels, axis, verdict


def axis_of(truth: dict[str, Any]) -> np.ndarray:
    """Chine end, far end and a point outside the cover as six numbers; the last two unknown without cover fat."""
    (ax, ay), (bx, by) = truth["long_axis_px"]
    outer = (np.nan, np.nan)
    if truth.get("fat_line_px"):
        # The end of the fat line that lies farther from the middle of the eye is the outer one.
        outer = max(truth["fat_line_px"], key=lambda p: math.dist(p, ((ax + bx) / 2, (ay + by) / 2)))
    return np.array([ax, ay, bx, by, *outer], np.float32)


def jobs(first: int, rng: random.Random) -> Iterator[Job]:
    """Endless work for the renderers: mostly faces to be read, some bare steaks, some that must be refused."""
    bad = [f"bad:{reason}" for reason in sorted(REASONS)]
    for seed in itertools.count(first):
        want = rng.choices(["mixed", "good", "steak", rng.choice(bad)], [40, 38, 12, 10])[0]
        yield seed, want, rng.choices(["easy", "normal", "hard", "wild"], [5, 45, 30, 20])[0]


def views(
    chosen: tuple[Tensor, Tensor, Tensor, Tensor], gen: torch.Generator
) -> tuple[Tensor, Tensor, Tensor, Tensor, Tensor]:
    """Whole pictures and close-ups, turned, mirrored, moved: picture, labels, along, outside, verdict (-1: none)."""
    picture, labels, axis, verdict = chosen
    n, device = len(picture), picture.device
    h, w = labels.shape[1:]
    rand = lambda *shape: torch.rand(*shape, generator=gen, device=device)  # noqa: E731
    known = ~torch.isnan(axis[:, 0])
    close = known & (rand(n) < 0.6)
    chine, far, outer = axis[:, 0:2], axis[:, 2:4], axis[:, 4:6]
    length = (far - chine).norm(dim=1)
    middle = torch.where(
        close[:, None], (chine + far) / 2, torch.tensor([w / 2, h / 2], device=device).expand(n, 2)
    )
    whole = max(w, h) * (0.9 + 0.5 * rand(n))
    span = torch.where(close, length * (1.15 + 0.9 * rand(n)), whole)
    middle = torch.nan_to_num(middle) + (rand(n, 2) - 0.5) * span[:, None] * 0.25
    turn, flip = 2 * math.pi * rand(n), torch.where(rand(n) < 0.5, -1.0, 1.0)
    stretch = 1.0 + 0.16 * (rand(n) - 0.5)
    half = span / 2
    cos, sin = torch.cos(turn), torch.sin(turn)
    # view (-1..1) to source pixels: middle + half * R * diag(flip * stretch, 1) * v
    a = torch.stack(
        [torch.stack([cos * flip * stretch, -sin], 1), torch.stack([sin * flip * stretch, cos], 1)], 1
    )
    a = a * half[:, None, None]
    line = (torch.arange(VIEW, device=device) + 0.5) / VIEW * 2 - 1
    v = torch.stack(torch.meshgrid(line, line, indexing="xy"), -1).reshape(1, -1, 2)
    source = (v @ a.transpose(1, 2) + middle[:, None]).reshape(n, VIEW, VIEW, 2)
    size = torch.tensor([w, h], device=device)
    grid = source / size * 2 - 1
    seen = _sample_area(picture, grid, span / VIEW)
    marks = F.grid_sample(
        labels[:, None].float(), grid, mode="nearest", padding_mode="zeros", align_corners=False
    )
    marks = marks[:, 0].round().long()
    along = ((source - chine[:, None, None]) * (far - chine)[:, None, None]).sum(-1) / (length**2)[
        :, None, None
    ]
    foot = chine + (far - chine) * (((outer - chine) * (far - chine)).sum(1) / length**2)[:, None]
    out = torch.linalg.solve(a.float(), (outer - foot)[:, :, None].nan_to_num()).squeeze(-1)
    out = F.normalize(out, dim=1)
    along = torch.where(known[:, None, None], along, torch.nan)
    out = torch.where((known & ~torch.isnan(outer[:, 0]))[:, None], out, torch.nan)
    return _light(seen, rand), marks, along, out, torch.where(close, -1, verdict)


def _sample_area(picture: Tensor, grid: Tensor, shrink: Tensor) -> Tensor:
    """Bilinear sampling from the picture or its half-size copy, so that shrinking does not alias."""
    fine = F.grid_sample(picture, grid, align_corners=False, padding_mode="border")
    coarse = F.grid_sample(F.avg_pool2d(picture, 2), grid, align_corners=False, padding_mode="border")
    part = ((shrink - 1.0) / 1.0).clamp(0, 1)[:, None, None, None]
    return fine * (1 - part) + coarse * part


def _light(x: Tensor, rand: Any) -> Tensor:
    """Another exposure, colour cast, contrast, blur and noise on top of the rendering's own."""
    n = len(x)
    x = x.clamp(1e-4, 1) ** (0.75 + 0.5 * rand(n, 1, 1, 1)) * (0.8 + 0.4 * rand(n, 1, 1, 1))
    x = x * (0.88 + 0.24 * rand(n, 3, 1, 1))
    grey = x.mean(1, keepdim=True)
    x = grey + (x - grey) * (0.6 + 0.8 * rand(n, 1, 1, 1))
    soft = F.avg_pool2d(x, 3, 1, 1)
    blur = (rand(n, 1, 1, 1) < 0.25).float() * rand(n, 1, 1, 1)
    x = x * (1 - blur) + soft * blur
    return (x + torch.randn_like(x) * 0.03 * rand(n, 1, 1, 1) ** 2).clamp(0, 1)


def loss_of(
    maps: Tensor, judged: Tensor, marks: Tensor, along: Tensor, out: Tensor, verdict: Tensor
) -> Tensor:
    """Classes with weight on the eye's edge, overlap of the eye, where it lies, and what the picture is."""
    logits = F.interpolate(
        maps[:, : len(CLASSES)].float(), scale_factor=2.0, mode="bilinear", align_corners=False
    )
    eye = (marks == EYE).float()
    edge = F.max_pool2d(eye[:, None], 9, 1, 4) + F.max_pool2d(
        -eye[:, None], 9, 1, 4
    )  # 1 near the edge, else 0
    weight = 1.0 + 3.0 * edge[:, 0]
    crossed = F.cross_entropy(logits, marks, reduction="none", label_smoothing=0.02)
    total = (crossed * weight).sum() / weight.sum()
    soft = logits.softmax(1)[:, EYE]
    met = (soft * eye).sum((1, 2))
    overlap = 1 - (2 * met + 50) / (soft.sum((1, 2)) + eye.sum((1, 2)) + 50)
    total = total + overlap.mean()
    place = F.interpolate(
        maps[:, len(CLASSES) :].float(), scale_factor=2.0, mode="bilinear", align_corners=False
    )
    inside = (eye > 0) & ~torch.isnan(along)
    if inside.any():
        total = total + 0.5 * (place[:, 0] - along.nan_to_num())[inside].abs().mean()
        sided = inside & ~torch.isnan(out[:, 0])[:, None, None]
        outward = out.nan_to_num()[:, :, None, None].expand(-1, -1, *eye.shape[1:])
        total = total + 0.3 * ((place[:, 1:3] - outward).abs().mean(1) * sided).sum() / sided.sum().clamp(
            min=1
        )
    told = verdict >= 0
    if told.any():
        total = total + 0.3 * F.cross_entropy(judged.float()[told], verdict[told])
    return total


@torch.no_grad()
def overlap(net: nn.Module, batch: tuple[Tensor, ...]) -> float:
    """Mean intersection over union of the eye on one batch."""
    net.eval()
    maps, _ = net(batch[0])
    net.train()
    logits = F.interpolate(
        maps[:, : len(CLASSES)].float(), scale_factor=2.0, mode="bilinear", align_corners=False
    )
    found, eye = logits.argmax(1) == EYE, batch[1] == EYE
    has = eye.sum((1, 2)) > 200
    return float(((found & eye).sum((1, 2)) / (found | eye).sum((1, 2)).clamp(min=1))[has].mean())


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--imagenet", type=Path)
    parser.add_argument("--from", dest="start", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--minutes", type=float, default=9.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=max(1, mp.cpu_count() - 1))
    parser.add_argument("--least", type=int, default=600, help="renderings before training begins")
    parser.add_argument("--pool", type=int, default=16_000, help="renderings kept in memory")
    args = parser.parse_args()
    began = time.monotonic()
    limit = began + args.minutes * 60
    torch.manual_seed(args.seed)
    rng = random.Random(args.seed)
    torch.backends.cudnn.benchmark = True
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    gen = torch.Generator(device).manual_seed(args.seed)
    net = EyeNet().to(device)
    if args.start:
        net.load_state_dict(
            {
                k: v.float() if v.is_floating_point() else v
                for k, v in torch.load(args.start, map_location="cpu").items()
            }
        )
    elif args.imagenet:
        net.load_imagenet(torch.load(args.imagenet, map_location="cpu"))
    net = net.to(device, memory_format=torch.channels_last).train()
    kept = torch.optim.swa_utils.AveragedModel(
        net, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.998), use_buffers=True
    )
    optimiser = torch.optim.AdamW(net.parameters(), lr=LEARNING_RATE, weight_decay=1e-3)
    args.out.mkdir(parents=True, exist_ok=True)
    store = Store(args.pool, device)
    steps = 0
    context = mp.get_context("fork" if device.type == "cpu" else "spawn")
    with (
        context.Pool(args.workers, maxtasksperchild=500) as workers,
        (args.out / "training.csv").open("w", newline="") as log,
    ):
        table = csv.writer(log)
        table.writerow(["seconds", "steps", "renderings", "loss", "iou"])
        coming = workers.imap_unordered(
            make_or_say, jobs(args.seed * 1_000_000 % 9_000_000, rng), chunksize=2
        )
        ready: queue.Queue[Made | str] = queue.Queue(maxsize=300)
        threading.Thread(target=lambda: [ready.put(made) for made in coming], daemon=True).start()
        while time.monotonic() < limit:
            for _ in range(32):
                try:
                    made = ready.get(timeout=0.001 if store.count >= args.least else 60)
                except queue.Empty:
                    break
                if isinstance(made, str):
                    print(made, flush=True)
                    continue
                store.add(made, rng)
            if store.count < args.least:
                continue
            for _ in range(3):
                done = (time.monotonic() - began) / (limit - began)
                rate = (
                    LEARNING_RATE
                    * min(1.0, done / WARM_SHARE)
                    * 0.5
                    * (1 + math.cos(math.pi * min(1.0, done)))
                )
                for group in optimiser.param_groups:
                    group["lr"] = max(rate, 1e-6)
                batch = views(store.some(BATCH, gen), gen)
                with torch.autocast(device.type, dtype=torch.bfloat16):
                    maps, judged = net(batch[0].contiguous(memory_format=torch.channels_last))
                loss = loss_of(maps, judged, *batch[1:])
                optimiser.zero_grad(set_to_none=True)
                loss.backward()
                nn.utils.clip_grad_norm_(net.parameters(), 5.0)
                optimiser.step()
                kept.update_parameters(net)
                steps += 1
                if steps % 100 == 0:
                    row = [round(time.monotonic() - began), steps, store.count, round(float(loss), 4),
                           round(overlap(net, batch), 4)]  # fmt: skip
                    table.writerow(row)
                    log.flush()
                    print(*row, flush=True)
                if steps % 1000 == 0:
                    save(kept, args.out)
        workers.terminate()
    save(kept, args.out)


def save(kept: nn.Module, folder: Path) -> None:
    """The averaged weights in half precision."""
    state = {
        name.removeprefix("module."): tensor
        for name, tensor in kept.state_dict().items()
        if name != "n_averaged"
    }
    torch.save(
        {name: (t.half() if t.is_floating_point() else t).cpu() for name, t in state.items()},
        folder / "eye.pt",
    )


if __name__ == "__main__":
    main()
