"""A later photograph laid on an earlier one, directly or from date to date."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field

from softmend.catalogue.computation import Answer, Asked, Computation, Model, WorkingValue
from softmend.catalogue.eyes import Line, PictureFile, picture_of
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.photo.register import Registration

FEW, FEW_SHARE = 60, 0.6
BETWEEN = tuple(f"between_{number}_file" for number in range(1, 7))
PITFALLS = (
    "Like photographs only: same side of the crack, light from the same side and as hard, same "
    "focus, lens correction on both or on neither, no sharpening, same humidity."
)

Matrix = tuple[tuple[float, float, float], ...]


class RegisterInput(Model):
    """Two photographs of one view, up to six of dates between them, and places to lay one by one.

    With `around_px`, a line on the earlier photograph each, a small plane is laid at each of them;
    that is what a curved object needs.
    """

    earlier_file: PictureFile
    later_file: PictureFile
    between_1_file: PictureFile | None = None
    between_2_file: PictureFile | None = None
    between_3_file: PictureFile | None = None
    between_4_file: PictureFile | None = None
    between_5_file: PictureFile | None = None
    between_6_file: PictureFile | None = None
    around_px: Annotated[list[Line], Field(max_length=200, default_factory=list)]


class Laid(Model):
    """How the later photograph lies on the earlier: a plane, and how many matches agree on it.

    `to_earlier` carries homogeneous px of the later photograph to px of the earlier.
    """

    to_earlier: Matrix
    matches: int
    agreeing: int
    agreeing_percent: float
    residual_px: float
    is_one_plane: bool
    refused: str = ""


class RegisterAnswer(Answer):
    """The plane of the whole picture when one fits, and the planes of the places asked for."""

    whole: Laid
    dates_between: int = 0
    patches: tuple[Laid, ...] = ()
    text: str = ""


def photo_register(given: RegisterInput, asked: Asked) -> RegisterAnswer:
    """Return how the later photograph lies on the earlier."""
    from softmend.science.photo.register import chained, features

    between = [name for name in BETWEEN if getattr(given, name) is not None]
    names = ["earlier_file", *between, "later_file"]
    dates = [features(picture_of(asked, name)) for name in names]
    found = chained(dates)[-1]
    whole = shown(found)
    patches = tuple(_patch(dates[0], dates[-1], line) for line in given.around_px)
    is_laid = whole.is_one_plane or any(one.is_one_plane for one in patches)
    return RegisterAnswer(
        answer="answer" if is_laid else "cannot say",
        reasons=() if is_laid else (_reason(found),),
        whole=whole,
        dates_between=found.between,
        patches=patches,
        text=_text(found),
        warnings=(*register_warnings(found), PITFALLS),
        working=(_line(found),),
    )


def shown(found: Registration) -> Laid:
    """Return a registration as it is shown."""
    return Laid(
        to_earlier=tuple((float(row[0]), float(row[1]), float(row[2])) for row in found.to_earlier),
        matches=found.matches,
        agreeing=found.agreeing,
        agreeing_percent=round(100 * found.agreeing_share, 1),
        residual_px=round(min(found.residual_px, 1e6), 3),
        is_one_plane=not found.refused,
        refused=found.refused,
    )


def register_warnings(found: Registration) -> tuple[str, ...]:
    """Return what is to be said of a weak registration."""
    if found.refused:
        return (f"The whole picture is not laid over: {found.refused}.",)
    if found.agreeing < FEW or found.agreeing_share < FEW_SHARE:
        return (
            f"Only {found.agreeing} of {found.matches} matches agree: the object or the view "
            "changed much between these dates. Go through the dates between.",
        )
    return ()


def _patch(earlier: Any, later: Any, line: list[list[float]]) -> Laid:
    from softmend.science.photo.register import local_registration

    try:
        return shown(local_registration(earlier, later, line))
    except InputError as refused:
        return Laid(
            to_earlier=((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
            matches=0,
            agreeing=0,
            agreeing_percent=0.0,
            residual_px=0.0,
            is_one_plane=False,
            refused=refused.sentence(),
        )


def _reason(found: Registration) -> str:
    return (
        f"One plane does not fit the two photographs: {found.refused}. Name the lines to lay one "
        "by one in around_px, or compare unrolled views."
    )


def _text(found: Registration) -> str:
    through = f", through {found.between} dates between" if found.between else ""
    return f"{found.agreeing} of {found.matches} matches agree{through}"


def _line(found: Registration) -> WorkingValue:
    return WorkingValue(
        name="matches that agree on one plane",
        text=f"{found.agreeing} of {found.matches}, median {found.residual_px:.2f} px off",
        kind="measured",
        origin="both photographs",
    )


COMPUTATIONS = {
    "photo.register": Computation(
        name="photo.register",
        title="A later photograph laid on an earlier one",
        input_model=RegisterInput,
        output_model=RegisterAnswer,
        function=photo_register,
        formula="homography by MAGSAC over scale-invariant features on levelled, reduced "
        "pictures; refused under half agreeing, or when those that agree crowd",
        sources=("lowe2004", "barath2020", "zuiderveld1994", "softmend-imaging"),
        cautions=(PITFALLS, "Laid-over pictures are for the eye; widths are measured in each."),
        checked="tests/science/photo/test_register.py",
    ),
}
