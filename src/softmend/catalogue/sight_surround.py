"""What the surround itself shows round a fill, read from the photograph that the fill is in."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field

from softmend.catalogue.colour import FileName
from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Model,
    Number,
    Point,
    WorkingValue,
)
from softmend.catalogue.sight_look import COARSE_PX, M_PER_MM, Millimetres, short
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.uncertain import Array

RING, LEAST_REACH_MM, MOST_ACROSS_PX = 0.75, 8.0, 320
"""Without an outlined original the surround is a ring round the fill, as wide as so much of the
fill's narrower side and so many millimetres at least; more pixels across are not looked at."""
CAUTIONS = (
    "A photograph's own noise and its sharpening count as texture at the bench; a blurred one "
    "hides texture. Look at the object itself.",
    "Gloss, shadows at an edge and dirt are texture here as well, as they are for the eye; leave "
    "out what will be gone.",
)
Ring = Annotated[list[Point], Field(min_length=3, max_length=5000)]
Rings = Annotated[list[Ring], Field(max_length=500, default_factory=list)]


class SurroundInput(Model):
    """A photograph with a fill in it, its scale, and what round the fill is the object's surround.

    `original_px` are outlines of original surface, a ring inside another being a hole: where given,
    nothing else is surround, and it is looked at as far as the fill is long. Without them a ring
    near the fill is taken for it.
    `left_out_px` are outlines of what is no surround: other fills, cracks, labels. `reach_mm` is
    how far beyond the fill the surround is looked at, when the usual does not fit.
    """

    photograph_file: FileName
    px_per_mm: Annotated[Number, Field(gt=0, le=1000)]
    fill_px: Ring
    original_px: Rings
    left_out_px: Rings
    reach_mm: Millimetres | None = None
    far_mm: Millimetres = 1829.0
    near_mm: Millimetres = 250.0


class TextureFrom(Model):
    """The surround's own variation from one distance, CIEDE2000.

    `noise` is what places as large as the fill differ by, `grain` what is missed where one of them
    is painted flat in its own mean colour. Where only pieces of the fill fit beside it, the noise
    is a bound: the least from afar, the most near, so that nothing is said too soon.
    """

    distance_mm: float
    noise: float
    grain: float
    places: int
    text: str


class SurroundAnswer(Answer):
    """The surround's own variation from both distances, and a sentence."""

    far: TextureFrom | None = None
    near: TextureFrom | None = None
    text: str = ""


def sight_surround(given: SurroundInput, asked: Asked) -> SurroundAnswer:
    """Return how the surround of a fill varies by itself from both distances."""
    picture, fill, known, words = _part(given, asked)
    found = [
        _seen(given, distance, picture, fill, known, words)
        for distance in (given.far_mm, given.near_mm)
    ]
    far, near = found
    return SurroundAnswer(
        far=far,
        near=near,
        text=f"The surround itself differs from place to place by {far.noise:.1f} CIEDE2000 as "
        f"seen from {given.far_mm:g} mm and by {near.noise:.1f} from {given.near_mm:g} mm; painted "
        f"flat, such a place would lack {far.grain:.1f} and {near.grain:.1f} of grain.",
        warnings=tuple(dict.fromkeys(words)),
        working=_working(given, far, near),
    )


def _part(given: SurroundInput, asked: Asked) -> tuple[Array, Any, Any, list[str]]:
    """Return the picture round the fill, there the fill and its surround, and what was taken."""
    from softmend.science.tint.chart import inside_outline, picture_xyz
    from softmend.science.tint.curve import numbers
    from softmend.science.tint.surround import round_a_fill

    if "photograph_file" not in asked.files:
        raise InputError("There is no photograph", allowed="a picture named in photograph_file")
    pixels: Any = asked.files["photograph_file"]
    ring = numbers(given.fill_px)
    reach = _reach_px(given, ring)
    low = [max(0, int(v - reach)) for v in ring.min(axis=0)]
    high = [min(side, int(v + reach) + 2)
            for v, side in zip(ring.max(axis=0), pixels.shape[1::-1], strict=True)]  # fmt: skip
    if low[0] >= high[0] or low[1] >= high[1]:
        raise InputError(
            "The fill lies outside the picture",
            value=f"about {ring[:, 0].mean():.0f}, {ring[:, 1].mean():.0f} px",
            allowed=f"inside {pixels.shape[1]} x {pixels.shape[0]} px",
        )
    crop = pixels[low[1] : high[1], low[0] : high[0], ...]

    def inside(outline: Any) -> Any:
        return inside_outline(crop.shape[:2], numbers(outline) - numbers(low))

    fill, words = inside(given.fill_px), []
    if given.original_px:
        known = inside(given.original_px[0])
        for one in given.original_px[1:]:
            known = known ^ inside(one)
    else:
        known = round_a_fill(fill, reach)
        words.append(
            "No original is outlined round the fill: what lies within "
            f"{reach / given.px_per_mm:.0f} mm of it was taken for the object. Outline the "
            "original to have background left out."
        )
    for one in given.left_out_px:
        known = known & ~inside(one)
    colours = crop[..., :3] if crop.ndim == 3 else crop
    return picture_xyz(colours, _white()), fill, known, words


def _reach_px(given: SurroundInput, ring: Array) -> float:
    if given.reach_mm is not None:
        return given.reach_mm * given.px_per_mm
    sides = sorted(float(v) for v in ring.max(axis=0) - ring.min(axis=0))
    usual = sides[1] if given.original_px else RING * sides[0]
    return max(usual, LEAST_REACH_MM * given.px_per_mm)


def _white() -> Any:
    from softmend.science.tint.chart import SRGB_XYZ

    return 100 * SRGB_XYZ.sum(axis=1)


def _seen(
    given: SurroundInput, distance: float, picture: Array, fill: Any, known: Any, words: list[str]
) -> TextureFrom:
    from softmend.science.tint.seen_picture import samples_per_degree
    from softmend.science.tint.surround import FINEST, coarser, surround_texture

    samples = samples_per_degree(given.px_per_mm / M_PER_MM, distance * M_PER_MM)
    times = max(1, int(samples / FINEST), -(-max(picture.shape[:2]) // MOST_ACROSS_PX))
    share = coarser(fill.astype(float), times)
    found = surround_texture(
        coarser(picture, times), share >= min(0.5, float(share.max())),
        (coarser(known.astype(float), times) > 1 - 1e-9) & (share == 0), _white(),
        max(samples / times, 1.0),
    )  # fmt: skip
    if samples / times < COARSE_PX:
        words.append(
            f"From {distance:g} mm the picture has only {samples / times:.0f} px a degree; finer "
            "texture is not counted."
        )
    noise = found.noise_least if distance == given.far_mm else found.noise
    bound = ", a bound, since only pieces of the fill fit beside it" if found.piece < 1 else ""
    return TextureFrom(
        distance_mm=distance,
        noise=short(noise),
        grain=short(found.grain),
        places=found.places,
        text=f"from {distance:g} mm: {noise:.2f} CIEDE2000 between {found.places} places, "
        f"{found.grain:.2f} missed where one is flat{bound}",
    )


def _working(given: SurroundInput, far: TextureFrom, near: TextureFrom) -> tuple[WorkingValue, ...]:
    rows = [
        ("photograph", given.photograph_file[:24], "measured", "the user's photograph"),
        ("scale", f"{given.px_per_mm:.3g} px/mm", "measured", "the view's scale"),
        *((f"{what}, {one.distance_mm:g} mm", f"{value:.2f} CIEDE2000", "derived", "the photograph")
          for one in (far, near) for what, value in (("noise", one.noise), ("grain", one.grain))),
    ]  # fmt: skip
    return tuple(WorkingValue(name=a, text=b, kind=c, origin=d) for a, b, c, d in rows)


COMPUTATIONS = {
    "sight.surround": Computation(
        name="sight.surround",
        title="How the surround of a fill varies by itself",
        input_model=SurroundInput,
        output_model=SurroundAnswer,
        function=sight_surround,
        formula="S-CIELAB of the photograph without its slope of light; N = rms CIEDE2000 of the "
        "means of places of the fill's shape; grain = rms CIEDE2000, as seen, of such places "
        "against the same painted flat",
        sources=("zhang1996", "sharma2005", "softmend-colour"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_sight_surround.py",
    ),
}
