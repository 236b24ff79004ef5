"""Train the eye network on rendered faces, for a stated time, on every GPU of the machine.

    python tools/faces/train.py --imagenet lite0.pth --minutes 9 --out OUT [--from OUT/eye.pt] [--seed 1]

Renderings are made while it trains, from the seed's own million of seeds upwards; seeds from 50,000,000 are never
touched here. The same seed, machine and time give nearly the same weights (how many renderings are ready when is the
machine's business). Writes eye.pt (averaged weights, half precision) and training.csv (time, steps, renderings, loss,
overlap on the batch just seen).
"""

from __future__ import annotations

import argparse
import itertools
import math
import multiprocessing as mp
import os
import queue
import random
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import torch
from loss import EYE, loss_of, overlap
from network import EyeNet
from torch import distributed, nn
from views import CUT_OFF, NO_FACE, READABLE, TWO_FACES, Chosen, show

PICTURE = (896, 672)  # width, height of a rendering
BATCH = 64
WARM_SHARE = 0.05
LAYOUT = torch.channels_last
TAKEN_A_STEP = 12
"""Most new renderings put into the store between two steps."""
REASONS = {"not_a_rib_face": NO_FACE, "two_animals": TWO_FACES, "eye_cut_off": CUT_OFF}
CUT_TOLERANCE_SHARE = 0.01
"""An eye that leaves the frame by more than this share of its extent is cut off, whatever the picture was to show."""

Job = tuple[int, str, str]
"""Seed, what is wanted, difficulty."""

Made = tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, int]
"""Picture (3, h, w) RGB, labels (h, w), axis (6,), box of the eye (4,), verdict."""

FACTS = {"axes": slice(0, 6), "boxes": slice(6, 10), "verdicts": 10}
"""Where axis, box and verdict stand in a row of `FACTS_LONG` numbers."""
FACTS_LONG = 11


class Ring:
    """Places in shared memory through which renderings come: workers fill the free ones and send their numbers.

    The device fetches from it while it works, for it stays where it is; a queue of whole pictures would hold up the
    training for each of them.
    """

    def __init__(self, places: int) -> None:
        w, h = PICTURE
        spawned = mp.get_context("spawn")
        self.pictures = torch.zeros((places, 3, h, w), dtype=torch.uint8).share_memory_()
        self.labels = torch.zeros((places, h, w), dtype=torch.uint8).share_memory_()
        self.facts = torch.zeros((places, FACTS_LONG)).share_memory_()
        self.free: mp.Queue[int] = spawned.Queue()
        self.made: mp.Queue[int | str] = spawned.Queue()
        for place in range(places):
            self.free.put(place)

    def pin(self) -> None:
        """Keep the memory where it is, so that the device can fetch from it by itself."""
        for kept in (self.pictures, self.labels, self.facts):
            done = torch.cuda.cudart().cudaHostRegister(
                kept.data_ptr(), kept.numel() * kept.element_size(), 0
            )
            print(f"shared memory held fast: {done}", flush=True)

    def fill(self, made: Made) -> None:
        """A worker's part."""
        picture, labels, axis, box, verdict = made
        place = self.free.get()
        self.pictures[place].numpy()[:] = picture
        self.labels[place].numpy()[:] = labels
        self.facts[place].numpy()[:] = [*axis, *box, verdict]
        self.made.put(place)


class Store:
    """Renderings on the device, as bytes; the newest take the place of others once it is full."""

    def __init__(self, most: int, device: torch.device) -> None:
        w, h = PICTURE
        self.most, self.count, self.device = most, 0, device
        self.pictures = torch.zeros((most, 3, h, w), dtype=torch.uint8, device=device)
        self.labels = torch.zeros((most, h, w), dtype=torch.uint8, device=device)
        self.facts = torch.zeros((most, FACTS_LONG), device=device)

    def add(self, ring: Ring, at: int, rng: random.Random) -> None:
        """Keep a rendering, in the place of another one when the store is full."""
        place = self.count if self.count < self.most else rng.randrange(self.most)
        self.count = min(self.most, self.count + 1)
        self.pictures[place].copy_(ring.pictures[at], non_blocking=True)
        self.labels[place].copy_(ring.labels[at], non_blocking=True)
        self.facts[place].copy_(ring.facts[at], non_blocking=True)

    def some(self, number: int, gen: torch.Generator) -> Chosen:
        at = torch.randint(self.count, (number,), generator=gen, device=self.device)
        facts = self.facts[at]
        return Chosen(
            self.pictures[at].float() / 255.0,
            self.labels[at],
            facts[:, FACTS["axes"]],
            facts[:, FACTS["boxes"]],
            facts[:, FACTS["verdicts"]].long(),
        )


def make_or_say(job: Job) -> Made | str:
    """A rendering, or what went wrong with its seed: one bad seed must not end the training."""
    try:
        return make(job)
    except Exception as error:  # noqa: BLE001 - told on the console by the trainer, then left out
        return f"seed {job}: {error!r}"


def make(job: Job) -> Made:
    """Render one seed in a worker process."""
    import cv2
    from render.scene import render_face

    cv2.setNumThreads(1)
    seed, want, difficulty = job
    made = render_face(seed, size=PICTURE, want=want, difficulty=difficulty)
    axis, box = np.full(6, np.nan, np.float32), np.full(4, np.nan, np.float32)
    verdict = REASONS.get(made.truth["refuse_reason"] or "", READABLE)
    ys, xs = np.nonzero(made.labels == EYE)
    if ys.size and verdict != NO_FACE:
        axis = axis_of(made.truth)
        box = np.array([xs.min(), ys.min(), xs.max() + 1, ys.max() + 1], np.float32)
        if verdict == READABLE and leaves_frame(np.array(made.truth["eye_outline_px"])):
            verdict = CUT_OFF
    return np.ascontiguousarray(made.bgr[:, :, ::-1].transpose(2, 0, 1)), made.labels, axis, box, verdict


def leaves_frame(outline_px: np.ndarray) -> bool:
    """Whether an outline (n, 2) lies beyond the frame by more than the tolerance."""
    low, top = outline_px.min(axis=0), outline_px.max(axis=0)
    beyond = np.maximum(-low, top - np.array(PICTURE)).max()
    return bool(beyond > CUT_TOLERANCE_SHARE * (top - low).max())


def axis_of(truth: dict[str, Any]) -> np.ndarray:
    """Chine end, far end and a point outside the cover as six numbers; the last two unknown without cover fat."""
    (ax, ay), (bx, by) = truth["long_axis_px"]
    outer = (np.nan, np.nan)
    if truth.get("fat_line_px"):
        # The end of the fat line that lies farther from the middle of the eye is the outer one.
        outer = max(truth["fat_line_px"], key=lambda p: math.dist(p, ((ax + bx) / 2, (ay + by) / 2)))
    return np.array([ax, ay, bx, by, *outer], np.float32)


def jobs(seeds: Iterator[int], rng: random.Random) -> Iterator[Job]:
    """Endless work for a renderer: mostly faces to be read, some bare steaks, some that must be refused."""
    for seed in seeds:
        bad = rng.choice(["eye_cut_off", "eye_cut_off", "not_a_rib_face", "two_animals"])
        want = rng.choices(["mixed", "good", "steak", f"bad:{bad}"], [37, 34, 15, 14])[0]
        yield seed, want, rng.choices(["easy", "normal", "hard", "wild"], [5, 45, 30, 20])[0]


def render_on(first: int, step: int, ring: Ring) -> None:
    """A worker: renderings of every `step`-th seed from `first` on, as fast as they are taken."""
    for job in jobs(itertools.count(first, step), random.Random(first)):
        made = make_or_say(job)
        if isinstance(made, str):
            ring.made.put(made)
        else:
            ring.fill(made)


class Feed:
    """The workers of one GPU, and what they have made put into its store."""

    def __init__(self, args: argparse.Namespace, rank: int, world: int, store: Store) -> None:
        first = args.seed * 1_000_000 % 9_000_000 + rank * 1_000_000 // world
        number = max(1, args.workers // world)
        self.store, self.rng = store, random.Random(args.seed * 100 + rank)
        self.ring = Ring(6 * number)
        self.on_their_way: list[int] = []
        self.fetched: torch.cuda.Event | None = None
        if store.device.type == "cuda":
            self.ring.pin()
            self.fetched = torch.cuda.Event()
        self.workers = [
            mp.get_context("spawn").Process(
                target=render_on, args=(first + k, number, self.ring), daemon=True
            )
            for k in range(number)
        ]
        for worker in self.workers:
            worker.start()

    def take(self, least: int = 0) -> None:
        """Whatever is ready into the store; at the start, wait until there is enough to learn from."""
        self._give_back()
        while (waits := self.store.count < least) or len(self.on_their_way) < TAKEN_A_STEP:
            try:
                sent = self.ring.made.get(timeout=120) if waits else self.ring.made.get_nowait()
            except queue.Empty:
                if waits:
                    raise
                break
            if isinstance(sent, str):
                print(sent, flush=True)
                continue
            self.store.add(self.ring, sent, self.rng)
            self.on_their_way.append(sent)
            if waits:
                self._mark()
                self._give_back()
        self._mark()

    def _mark(self) -> None:
        if self.fetched is not None:
            self.fetched.record()

    def _give_back(self) -> None:
        """The places from which the device has fetched everything are free again."""
        if self.fetched is not None:
            self.fetched.synchronize()
        for place in self.on_their_way:
            self.ring.free.put(place)
        self.on_their_way = []

    def stop(self) -> None:
        for worker in self.workers:
            worker.terminate()


def rate_at(done: float, most: float) -> float:
    """Learning rate: up over the first twentieth, then down along a cosine; `done` 0 to 1."""
    return max(1e-6, most * min(1.0, done / WARM_SHARE) * 0.5 * (1 + math.cos(math.pi * min(1.0, done))))


def start_net(args: argparse.Namespace, device: torch.device) -> EyeNet:
    net = EyeNet()
    if args.start:
        stored = torch.load(args.start, map_location="cpu")
        net.load_state_dict({k: v.float() if v.is_floating_point() else v for k, v in stored.items()})
    elif args.imagenet:
        net.load_imagenet(torch.load(args.imagenet, map_location="cpu"))
    return net.to(device, memory_format=LAYOUT).train()


def train(rank: int, world: int, args: argparse.Namespace) -> None:
    """One GPU's part: its own renderings, the gradients shared with the others."""
    began = time.monotonic()
    torch.manual_seed(args.seed)
    device = torch.device("cuda", rank) if torch.cuda.is_available() else torch.device("cpu")
    gen = torch.Generator(device).manual_seed(args.seed * 100 + rank)
    net = start_net(args, device)
    model: nn.Module = net
    if world > 1:
        torch.cuda.set_device(rank)
        distributed.init_process_group("nccl", rank=rank, world_size=world, device_id=device)
        model = nn.parallel.DistributedDataParallel(net, device_ids=[rank])
    kept = torch.optim.swa_utils.AveragedModel(
        net, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.998), use_buffers=True
    )
    optimiser = torch.optim.AdamW(net.parameters(), lr=args.rate, weight_decay=1e-3)
    store = Store(args.pool // world, device)
    feed = Feed(args, rank, world, store)
    log = (args.out / f"training{rank}.csv").open("w")
    print("seconds,steps,renderings,loss,iou", file=log, flush=True)
    feed.take(args.least // world)
    clock = torch.zeros(1, device=device)
    steps = 0
    while True:
        if steps % 10 == 0:  # one clock for all, so that all end together and learn at one rate
            clock.fill_((time.monotonic() - began) / (args.minutes * 60))
            if world > 1:
                distributed.broadcast(clock, 0)
            done = float(clock)
            if done >= 1:
                break
            for group in optimiser.param_groups:
                group["lr"] = rate_at(done, args.rate)
        feed.take()
        shown = show(store.some(args.batch, gen), gen, close=steps % 2 == 0, turn=steps // 2)
        with torch.autocast(device.type, dtype=torch.bfloat16, enabled=device.type == "cuda"):
            maps, judged = model(shown.seen.contiguous(memory_format=LAYOUT))
        loss = loss_of(maps, judged, shown)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        optimiser.step()
        kept.update_parameters(net)
        steps += 1
        if steps % 100 < 2 and steps > 2:  # a batch of each sort
            note = [steps, store.count, round(float(loss.detach()), 4), round(overlap(net, shown), 4)]
            print(round(time.monotonic() - began), *note, sep=",", file=log, flush=True)
        if steps % 1000 == 0 and rank == 0:
            save(kept, args.out)
    if rank == 0:
        save(kept, args.out)
    log.close()
    feed.stop()
    if world > 1:
        distributed.destroy_process_group()


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


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--imagenet", type=Path)
    parser.add_argument("--from", dest="start", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--minutes", type=float, default=9.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rate", type=float, default=2e-3, help="largest learning rate")
    parser.add_argument("--batch", type=int, default=BATCH, help="pictures a step on each GPU")
    parser.add_argument("--workers", type=int, default=max(1, mp.cpu_count() - 2))
    parser.add_argument("--least", type=int, default=1200, help="renderings before training begins")
    parser.add_argument("--pool", type=int, default=64_000, help="renderings kept in memory, over all GPUs")
    args = parser.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    world = max(1, torch.cuda.device_count())
    if world == 1:
        train(0, 1, args)
        return
    os.environ.setdefault("MASTER_ADDR", "127.0.0.1")
    os.environ.setdefault("MASTER_PORT", "29511")
    torch.multiprocessing.spawn(train, (world, args), nprocs=world)


if __name__ == "__main__":
    main()
