"""Train the suggestion network on drawn cracks and write it as ONNX; needs PyTorch and a GPU.

    python3 tools/suggest_network/train.py OUT_FOLDER [SECONDS] [SEED]

Not part of the app or of its tests: what it made is committed beside its figures.
"""
# SPDX-License-Identifier: Apache-2.0
# mypy: ignore-errors

from __future__ import annotations

import json
import sys
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
import torch
from torch import nn

sys.path.insert(0, str(Path(__file__).parent))
import draw

BATCH, WORKERS, BOX_PX = 64, 16, 31
CHANNELS = (16, 32, 48, 64, 64)
RATE = 3e-3


class Drawn(torch.utils.data.IterableDataset):
    """Drawn patches without end; each worker draws from a stream of its own."""

    def __init__(self, seed: int) -> None:
        self.seed = seed

    def __iter__(self) -> Iterator[tuple[np.ndarray, np.ndarray]]:
        import cv2

        cv2.setNumThreads(1)
        worker = torch.utils.data.get_worker_info()
        rng = np.random.default_rng([self.seed, worker.id if worker else 0])
        while True:
            picture, label = draw.patch(rng)
            yield levelled(picture)[None], label[None]


def levelled(picture: np.ndarray) -> np.ndarray:
    """Return brightness less the mean of the box around it, in units of its spread."""
    import cv2

    less = picture - cv2.blur(picture, (BOX_PX, BOX_PX))
    return (less / (less.std() + 1e-3)).astype(np.float32)


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


def main(folder: Path, seconds: float, seed: int) -> None:
    """Train for so many seconds, score on patches never seen, write network and figures."""
    torch.manual_seed(seed)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    net = Net().to(device).to(memory_format=torch.channels_last)
    learn = torch.optim.AdamW(net.parameters(), RATE, weight_decay=1e-4)
    loader = torch.utils.data.DataLoader(Drawn(seed), BATCH, num_workers=WORKERS, prefetch_factor=8)
    began, steps, losses = time.monotonic(), 0, []
    for picture, label in loader:
        share = (time.monotonic() - began) / seconds
        if share >= 1:
            break
        for group in learn.param_groups:
            group["lr"] = RATE * min(1, 20 * share + 0.02) * 0.5 * (1 + np.cos(np.pi * share))
        with torch.autocast(device, torch.bfloat16):
            given = net(picture.to(device))
        loss = loss_of(given.float(), label.to(device))
        learn.zero_grad()
        loss.backward()
        learn.step()
        losses.append(float(loss.detach()))
        steps += 1
        if steps % 500 == 0:
            print(steps, round(share, 3), round(float(np.mean(losses[-500:])), 4), flush=True)
    net = net.float().to(device).eval()
    told = {"seed": seed, "steps": steps, "patches": steps * BATCH, "seconds": seconds,
            "weights": sum(p.numel() for p in net.parameters()),
            "last_loss": round(float(np.mean(losses[-500:])), 4),
            "torch": torch.__version__, "device": torch.cuda.get_device_name()
            if device == "cuda" else "cpu", "score": scored(net, device)}  # fmt: skip
    write(net.cpu(), folder)
    (folder / "suggest_network.json").write_text(json.dumps(told, indent=1) + "\n")
    print(told)


def scored(net: Net, device: str) -> dict[str, float]:
    """Return precision, recall and F1 by pixel, one px of play, on 512 patches never trained on."""
    rng = np.random.default_rng(987654321)
    widen = nn.MaxPool2d(3, 1, 1)
    right = said = met = true = 0.0
    with torch.no_grad():
        for _ in range(8):
            patches = [draw.patch(rng) for _ in range(BATCH)]
            picture = torch.tensor(np.stack([levelled(p)[None] for p, _ in patches]), device=device)
            label = torch.tensor(np.stack([t[None] for _, t in patches]), device=device)
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


if __name__ == "__main__":
    _, out, *rest = sys.argv
    main(
        Path(out),
        *(kind(word) for kind, word in zip((float, int), [*rest, "480", "7"][:2], strict=True)),
    )
