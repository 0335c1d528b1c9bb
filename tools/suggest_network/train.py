"""Train the suggestion network on drawn cracks and write it as ONNX; needs PyTorch and a GPU.

    python3 tools/suggest_network/train.py OUT_FOLDER [SECONDS] [SEED]

Not part of the app or of its tests: what it made is committed beside its figures.
"""
# SPDX-License-Identifier: Apache-2.0
# mypy: ignore-errors

from __future__ import annotations

import copy
import json
import multiprocessing
import sys
import time
from itertools import pairwise
from pathlib import Path

import draw
import numpy as np
import scene
import torch
from torch import nn

BATCH, WORKERS = 64, 16
DRAWN = {"cracks": 16_000, "lines": 4_000, "spots": 3_000, "joints": 2_000}
CHANNELS = (16, 32, 48, 64, 64)
RATE = 3e-3
SLOWNESS = 0.998
"""The network that is kept is the running mean of the one that learns, over some 500 steps."""


def drawn(job: tuple[str, int, int]) -> list[np.ndarray]:
    """Return masks of one kind, as bytes."""
    import cv2

    cv2.setNumThreads(1)
    name, count, seed = job
    rng = np.random.default_rng([seed, *name.encode()])
    made = [getattr(draw, name)(rng) for _ in range(count)]
    if name == "cracks":
        return [np.stack(part) for part in zip(*made, strict=True)]
    return [np.stack(made).astype(np.int8)]


def pools(seed: int, device: str) -> scene.Pools:
    """Return all masks, drawn by many processes; each part has a stream of its own."""
    jobs = [(name, count // 200, 1000 * seed + part)
            for part in range(200) for name, count in DRAWN.items()]  # fmt: skip
    with multiprocessing.Pool(WORKERS) as workers:
        made = workers.map(drawn, jobs, chunksize=4)
    kept: dict[str, list[np.ndarray]] = {}
    for (name, _, _), parts in zip(jobs, made, strict=True):
        names = ("dark", "course") if name == "cracks" else (name,)
        for one, part in zip(names, parts, strict=True):
            kept.setdefault(one, []).append(part)
    return scene.Pools({n: torch.from_numpy(np.concatenate(p)) for n, p in kept.items()}, device)


def step(inside: int, outside: int) -> nn.Sequential:
    """Return one level: two convolutions, each evened out and cut at zero."""
    layers = []
    for one, two in ((inside, outside), (outside, outside)):
        layers += [nn.Conv2d(one, two, 3, padding=1), nn.BatchNorm2d(two), nn.ReLU()]
    return nn.Sequential(*layers)


class Net(nn.Module):
    """Five levels down and up again, each level's own picture handed across."""

    def __init__(self) -> None:
        super().__init__()
        down = (1, *CHANNELS)
        self.down = nn.ModuleList(step(a, b) for a, b in pairwise(down))
        up = list(zip(CHANNELS[::-1][:-1], CHANNELS[::-1][1:], strict=True))
        self.up = nn.ModuleList(step(a + b, b) for a, b in up)
        self.last = nn.Conv2d(CHANNELS[0], 1, 1)
        self.smaller, self.larger = nn.MaxPool2d(2), nn.Upsample(scale_factor=2, mode="nearest")

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Return a number for each pixel; above 0 a crack is more likely than not."""
        across = []
        for number, one in enumerate(self.down):
            x = one(x if number == 0 else self.smaller(x))
            across.append(x)
        for one, kept in zip(self.up, across[-2::-1], strict=True):
            x = one(torch.cat([self.larger(x), kept], 1))
        return self.last(x)


def loss_of(given: torch.Tensor, label: torch.Tensor) -> torch.Tensor:
    """Return cross entropy, cracks weighing more, and one less the overlap."""
    heavy = torch.tensor(3.0, device=given.device)
    entropy = nn.functional.binary_cross_entropy_with_logits(given, label, pos_weight=heavy)
    chance = torch.sigmoid(given)
    overlap = (2 * (chance * label).sum() + 1) / (chance.sum() + label.sum() + 1)
    return entropy + 1 - overlap


def trained(masks: scene.Pools, seconds: float, seed: int, device: str) -> tuple[Net, dict]:
    """Return the network after so many seconds, and what is told of the training."""
    net = Net().to(device).to(memory_format=torch.channels_last)
    mean = copy.deepcopy(net)
    learn = torch.optim.AdamW(net.parameters(), RATE, weight_decay=1e-4)
    by = scene.Chance(seed, BATCH, device)
    began, steps, losses = time.monotonic(), 0, []
    while (share := (time.monotonic() - began) / seconds) < 1:
        for group in learn.param_groups:
            group["lr"] = RATE * min(1, 20 * share + 0.02) * 0.5 * (1 + np.cos(np.pi * share))
        picture, label = scene.batch(by, masks)
        with torch.autocast(device, torch.bfloat16):
            given = net(picture.to(memory_format=torch.channels_last))
        loss = loss_of(given.float(), label)
        learn.zero_grad()
        loss.backward()
        learn.step()
        follow(mean, net, steps)
        steps += 1
        if steps % 50 == 0:
            losses.append(float(loss.detach()))
        if steps % 500 == 0:
            print(steps, round(share, 3), round(float(np.mean(losses[-10:])), 4), flush=True)
    told = {"seed": seed, "steps": steps, "patches": steps * BATCH, "seconds": seconds,
            "weights": sum(p.numel() for p in net.parameters()),
            "last_loss": round(float(np.mean(losses[-10:])), 4), "masks": DRAWN}  # fmt: skip
    return mean.float().eval(), told


@torch.no_grad()
def follow(mean: Net, net: Net, steps: int) -> None:
    """Bring the running mean a little nearer to the network that learns."""
    slow = min(SLOWNESS, (1 + steps) / (10 + steps))
    for one, other in zip(mean.parameters(), net.parameters(), strict=True):
        one.lerp_(other, 1 - slow)
    for one, other in zip(mean.buffers(), net.buffers(), strict=True):
        one.copy_(other)


@torch.no_grad()
def scored(net: Net, masks: scene.Pools, device: str) -> dict[str, float]:
    """Return precision, recall and F1 by pixel, one px of play, on 1024 pictures never seen."""
    by = scene.Chance(987654321, BATCH, device)
    widen = nn.MaxPool2d(3, 1, 1)
    right = said = met = true = 0.0
    for _ in range(16):
        picture, label = scene.batch(by, masks)
        found = (net(picture) > 0).float()
        right += float((found * widen(label)).sum())
        met += float((label * widen(found)).sum())
        said, true = said + float(found.sum()), true + float(label.sum())
    precision, recall = right / max(said, 1), met / max(true, 1)
    return {"precision": round(precision, 3), "recall": round(recall, 3),
            "f1": round(2 * precision * recall / max(precision + recall, 1e-9), 3)}  # fmt: skip


def write(net: Net, folder: Path) -> None:
    """Write the network, chances out, for pictures of any size that 16 divides."""
    whole = nn.Sequential(net, nn.Sigmoid()).eval()
    free = {"picture": {0: "n", 2: "h", 3: "w"}, "chance": {0: "n", 2: "h", 3: "w"}}
    torch.onnx.export(whole, (torch.zeros(1, 1, 256, 256),), str(folder / "suggest_network.onnx"),
                      input_names=["picture"], output_names=["chance"], dynamic_axes=free,
                      opset_version=17, dynamo=False)  # fmt: skip


def main(folder: Path, seconds: float, seed: int) -> None:
    """Draw, train for so many seconds, score, write network and figures."""
    torch.manual_seed(seed)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    masks = pools(seed, device)
    net, told = trained(masks, seconds, seed, device)
    told["score"] = scored(net, masks, device)
    told |= {"torch": torch.__version__,
             "device": torch.cuda.get_device_name() if device == "cuda" else "cpu"}  # fmt: skip
    torch.save(net.cpu().state_dict(), folder / "suggest_network.pt")
    write(net, folder)
    (folder / "suggest_network.json").write_text(json.dumps(told, indent=1) + "\n")
    print(told)


if __name__ == "__main__":
    _, out, *rest = sys.argv
    main(
        Path(out),
        *(kind(word) for kind, word in zip((float, int), [*rest, "420", "7"][:2], strict=True)),
    )
