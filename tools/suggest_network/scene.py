"""Drawn masks laid on drawn surfaces and photographed, a batch at a time on the GPU.

Everything is by chance from one generator: the same seed on the same machine gives the same
pictures.
"""
# SPDX-License-Identifier: Apache-2.0
# mypy: ignore-errors

from __future__ import annotations

import math

import torch
from torch.nn import functional

SIDE_PX = 256
WIDE_PX = 384
BOX_PX, SPREAD_PX = 31, 101
# Annex K of ITU-T T.81: how coarsely a camera rounds each wave of an 8 px block at quality 50.
ROUGHNESS = (
    (16, 11, 10, 16, 24, 40, 51, 61), (12, 12, 14, 19, 26, 58, 60, 55),
    (14, 13, 16, 24, 40, 57, 69, 56), (14, 17, 22, 29, 51, 87, 80, 62),
    (18, 22, 37, 56, 68, 109, 103, 77), (24, 35, 55, 64, 81, 104, 113, 92),
    (49, 64, 78, 87, 103, 121, 120, 101), (72, 92, 95, 98, 112, 100, 103, 99),
)  # fmt: skip


class Chance:
    """Draws numbers for each picture of a batch, shape (n, 1, 1, 1)."""

    def __init__(self, seed: int, count: int, device: str) -> None:
        self.source = torch.Generator(device).manual_seed(seed)
        self.count, self.device = count, device

    def normal(self, *shape: int) -> torch.Tensor:
        """Return numbers about 0 of unit spread."""
        return torch.randn(*shape, generator=self.source, device=self.device)

    def share(self) -> torch.Tensor:
        """Return numbers from 0 to 1."""
        return torch.rand(self.count, 1, 1, 1, generator=self.source, device=self.device)

    def between(self, low: float, high: float) -> torch.Tensor:
        """Return numbers between two bounds."""
        return low + (high - low) * self.share()

    def now_and_then(self, often: float) -> torch.Tensor:
        """Return 1 for some pictures and 0 for the others."""
        return (self.share() < often).float()

    def decaying(self, mean: float) -> torch.Tensor:
        """Return numbers above 0, large ones seldom."""
        return -mean * torch.log1p(-self.share().clamp(max=0.999))

    def one(self, low: float, high: float) -> float:
        """Return one number for the whole batch."""
        return low + (high - low) * float(torch.rand((), generator=self.source, device=self.device))

    def field(self, cell: float, stretch: float = 1.0) -> torch.Tensor:
        """Return smooth noise of unit spread in cells of so many px, turned by chance."""
        rows = max(2, round(WIDE_PX / cell))
        columns = max(2, round(WIDE_PX / (cell * stretch)))
        coarse = self.normal(self.count, 1, rows, columns)
        wide = functional.interpolate(
            coarse, (WIDE_PX, WIDE_PX), mode="bicubic", align_corners=False
        )
        angle = self.between(0, math.pi).flatten()
        c, s = torch.cos(angle) * SIDE_PX / WIDE_PX, torch.sin(angle) * SIDE_PX / WIDE_PX
        still = torch.zeros_like(c)
        turn = torch.stack([torch.stack([c, -s, still], 1), torch.stack([s, c, still], 1)], 1)
        grid = functional.affine_grid(turn, (self.count, 1, SIDE_PX, SIDE_PX), align_corners=False)
        out = functional.grid_sample(wide, grid, padding_mode="reflection", align_corners=False)
        return out / (out.std((2, 3), keepdim=True) + 1e-6)


def blurred(picture: torch.Tensor, sigma: torch.Tensor) -> torch.Tensor:
    """Return each picture blurred by its own sigma [px]."""
    reach = math.ceil(3 * float(sigma.max()))
    x = torch.arange(-reach, reach + 1, device=picture.device, dtype=torch.float32)
    kernel = torch.exp(-0.5 * (x / sigma.reshape(-1, 1)) ** 2)
    kernel = kernel / kernel.sum(1, keepdim=True)
    count = len(picture)
    row = picture.reshape(1, count, *picture.shape[2:])
    row = functional.pad(row, (reach,) * 4, mode="reflect")
    row = functional.conv2d(row, kernel.reshape(count, 1, 1, -1), groups=count)
    row = functional.conv2d(row, kernel.reshape(count, 1, -1, 1), groups=count)
    return row.reshape(picture.shape)


def even(picture: torch.Tensor, sigma: float) -> torch.Tensor:
    """Return the batch blurred by one sigma [px]."""
    return blurred(picture, torch.full((len(picture),), sigma, device=picture.device))


def step(x: torch.Tensor) -> torch.Tensor:
    """Return a soft step from 0 to 1."""
    return torch.sigmoid(x)


def surface(by: Chance) -> torch.Tensor:
    """Return bare surfaces: noise of several sizes, grain, relief in slanting light, a slope."""
    flat = by.between(70, 215).expand(-1, 1, SIDE_PX, SIDE_PX)
    picture = torch.zeros_like(flat)
    for cell in (1.2, 2.5, 5, 10, 24, 60):
        picture += by.now_and_then(0.7) * by.decaying(5) * by.field(cell)
    for _ in range(2):
        grain = by.field(by.one(1.5, 8), by.one(4, 40))
        picture += by.now_and_then(0.4) * by.decaying(9) * grain
    coarse = by.field(by.one(2, 7))
    picture += by.now_and_then(0.3) * by.between(-35, 35) * (coarse > by.between(0.3, 1.5))
    edge = by.field(by.one(60, 200))
    picture += by.now_and_then(0.3) * by.between(-60, 60) * step(edge * by.between(3, 20))
    height = by.field(by.one(6, 40), by.one(1, 6))
    lit = functional.pad(height[..., 1:] - height[..., :-1], (0, 1, 0, 0))
    lit = lit / (lit.std((2, 3), keepdim=True) + 1e-6)
    picture += by.now_and_then(0.35) * by.decaying(10) * lit
    picture = flat + picture * torch.exp(by.between(math.log(0.15), math.log(1.3)))
    slope = torch.linspace(-1, 1, SIDE_PX, device=picture.device)
    picture += 15 * by.normal(by.count, 1, 1, 1) * slope[None, None, None]
    return picture + 15 * by.normal(by.count, 1, 1, 1) * slope[None, None, :, None]


def rings(by: Chance) -> torch.Tensor:
    """Return growth lines: many calm curves side by side, each of its own tone."""
    y, x = torch.meshgrid(*[torch.arange(SIDE_PX, device=by.device).float()] * 2, indexing="ij")
    far = torch.hypot(x - by.between(-4, 5) * SIDE_PX, y - by.between(-4, 5) * SIDE_PX)
    place = (far + by.between(0, 3) * by.field(40)) / by.between(3, 14)
    tones = by.normal(by.count, 4096)
    low = place.floor().long() % 4095
    flat = low.reshape(by.count, -1)
    share = place - place.floor()
    one = tones.gather(1, flat).reshape(place.shape)
    two = tones.gather(1, flat + 1).reshape(place.shape)
    return by.now_and_then(0.2) * by.between(2, 14) * (one * (1 - share) + two * share)


def darkened(by: Chance, picture: torch.Tensor, dark: torch.Tensor) -> torch.Tensor:
    """Return the pictures with their cracks dark enough to be seen against the noise around."""
    around = even((picture - even(picture, 4)).abs(), 12)
    deep = around * by.between(2, 6) + by.between(6, 80)
    rim = blurred(dark, by.between(1.5, 4)) * (1 - dark)
    picture = picture + by.now_and_then(0.3) * by.between(5, 30) * rim
    slow = (1 + by.between(0, 0.5) * by.field(by.one(8, 40))).clamp(0.25, 1.8)
    return picture - torch.minimum(deep * slow, 0.9 * picture.clamp(min=0)) * dark


def outlined(by: Chance, picture: torch.Tensor, label: torch.Tensor) -> tuple:
    """Return the object cut off by its outline, with a plain ground behind; no label outside."""
    field = by.field(by.one(120, 400))
    inside = step((field - 0.4 * by.normal(by.count, 1, 1, 1) + 0.6) * by.between(20, 120))
    ground = by.between(0, 255) + by.between(0, 4) * by.field(3)
    shade = 1 - by.between(0, 0.6) * torch.exp(-(field + 0.6).abs() * by.between(2, 10))
    often = by.now_and_then(0.25)
    mixed = picture * shade * inside + ground * (1 - inside)
    kept = label * (inside > 0.9)
    return often * mixed + (1 - often) * picture, often * kept + (1 - often) * label


def glinted(by: Chance, picture: torch.Tensor, label: torch.Tensor) -> tuple:
    """Return mirrored lamps, ragged and rippled by dark threads; no label under them."""
    field = by.field(by.one(20, 120)) + 0.4 * by.field(4)
    lamp = step((field - by.between(0.8, 2.2)) * by.between(2, 15))
    threads = torch.exp(-((by.field(by.one(4, 16)) / by.between(0.06, 0.25)) ** 2))
    lamp_seen = lamp * (1 - by.now_and_then(0.6) * by.between(0.3, 1) * threads)
    shone = picture + (255 - picture) * lamp_seen * by.between(0.4, 1.3)
    often = by.now_and_then(0.25)
    kept = label * (lamp < 0.5)
    return often * shone + (1 - often) * picture, often * kept + (1 - often) * label


def photographed(by: Chance, picture: torch.Tensor) -> torch.Tensor:
    """Return the pictures as a camera gives them: blurred, sharpened, noisy, often as JPEG."""
    picture = blurred(picture, by.between(0.35, 1.6))
    sharper = picture + by.between(0.2, 1.5) * (picture - even(picture, 1.2))
    often = by.now_and_then(0.3)
    picture = often * sharper + (1 - often) * picture
    bent = 255 * (picture.clamp(1, 255) / 255) ** by.between(0.6, 1.6)
    often = by.now_and_then(0.3)
    picture = often * bent + (1 - often) * picture
    picture = picture + by.between(0.3, 6) * by.normal(*picture.shape)
    picture = picture.clamp(0, 255).round()
    often = by.now_and_then(0.5)
    return often * coded(picture, by.between(40, 96)) + (1 - often) * picture


def coded(picture: torch.Tensor, quality: torch.Tensor) -> torch.Tensor:
    """Return the pictures after the rounding of waves in 8 px blocks that a JPEG does."""
    k = torch.arange(8, device=picture.device).float()
    waves = torch.cos(math.pi * (2 * k[None] + 1) * k[:, None] / 16) / 2
    waves[0] /= math.sqrt(2)
    rough = torch.tensor(ROUGHNESS, device=picture.device).float()
    scale = torch.where(quality < 50, 50 / quality, 2 - quality / 50)
    rough = (rough * scale[..., None, None]).round().clamp(1)
    blocks = picture.reshape(len(picture), 1, SIDE_PX // 8, 8, SIDE_PX // 8, 8)
    blocks = blocks.permute(0, 1, 2, 4, 3, 5) - 128
    told = (waves @ blocks @ waves.T / rough).round() * rough
    back = (waves.T @ told @ waves + 128).clamp(0, 255).round()
    return back.permute(0, 1, 2, 4, 3, 5).reshape(picture.shape)


def levelled(picture: torch.Tensor) -> torch.Tensor:
    """Return brightness less the mean around it, in units of its spread, half here, half whole."""
    less = picture - box(picture, BOX_PX)
    spread = box(less**2, SPREAD_PX).clamp(min=0).sqrt()
    middle = spread.flatten(1).median(1).values.reshape(-1, 1, 1, 1)
    return less / (0.5 * spread + 0.5 * middle + 1e-3)


def box(picture: torch.Tensor, side: int) -> torch.Tensor:
    """Return the mean of the box around each pixel."""
    half = side // 2
    out = functional.pad(picture, (half,) * 4, mode="reflect")
    return functional.avg_pool2d(functional.avg_pool2d(out, (side, 1), 1), (1, side), 1)


class Pools:
    """Masks drawn beforehand, kept on the device, handed out turned, mirrored and mixed."""

    def __init__(self, masks: dict[str, torch.Tensor], device: str) -> None:
        self.masks = {name: mask.to(device) for name, mask in masks.items()}

    def some(self, by: Chance, *names: str) -> list[torch.Tensor]:
        """Return a batch from pools that lie side by side, turned and mirrored alike."""
        size = len(self.masks[names[0]])
        number = torch.randint(size, (by.count,), generator=by.source, device=by.device)
        out = [self.masks[name][number][:, None].float() for name in names]
        mirror = int(by.one(0, 2))
        turn = int(by.one(0, 4))
        if mirror:
            out = [one.flip(3) for one in out]
        return [one.rot90(turn, (2, 3)) for one in out]


def batch(by: Chance, pools: Pools) -> tuple[torch.Tensor, torch.Tensor]:
    """Return levelled pictures and where their cracks are, shape (n, 1, 256, 256)."""
    picture = surface(by) + rings(by)
    for name, often in (("spots", 0.5), ("joints", 0.2), ("lines", 0.5)):
        picture = picture + by.now_and_then(often) * pools.some(by, name)[0]
    dark, course = (one / 255 for one in pools.some(by, "dark", "course"))
    more, further = (one / 255 for one in pools.some(by, "dark", "course"))
    some, both = by.now_and_then(0.85), by.now_and_then(0.15)
    dark = some * torch.maximum(dark, both * more)
    course = some * torch.maximum(course, both * further)
    picture = darkened(by, picture, dark)
    label = (course > 0.25).float()
    picture, label = outlined(by, picture, label)
    picture, label = glinted(by, picture, label)
    return levelled(photographed(by, picture)), label
