"""The one error family, and the cautions that travel with a result.

Every code that a person or a program can meet is registered here, once, with
its exit status and the way on. ``docs/reference/errors.md`` lists them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar


class PlaidcutError(Exception):
    """Base of everything that plaidcut raises on purpose.

    Parameters
    ----------
    message
        What is wrong and where, in one sentence, with the offending value.
    hint
        What to do about it; the class's own way on where none is given.
    """

    code: ClassVar[str] = "bug"
    exit_status: ClassVar[int] = 1
    way_on: ClassVar[str] = "This is a fault in plaidcut: please report it."

    def __init__(self, message: str, *, hint: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.hint = self.way_on if hint is None else hint


class UsageError(PlaidcutError):
    """The command line is wrong."""

    code, exit_status = "usage", 2
    way_on = "See the command's --help."


class BadLength(UsageError):
    """A length can't be read, or has no unit."""

    code = "bad-length"
    way_on = 'Write the unit: "1/4 in", "3 1/2 in" or "6.35 mm".'


class AlreadyExists(UsageError):
    """An output file is there already."""

    code = "exists"
    way_on = "Choose another name, or say --force to write over it."


class NeedsPhoto(UsageError):
    """What was asked needs pixels, and only a document was given."""

    code = "needs-photo"
    way_on = "Say --photo FILE with the photo that the document was measured from."


class FileTrouble(PlaidcutError):
    """An input can't be read or an output written."""

    code, exit_status = "bad-file", 3
    way_on = "Check that the file is of the kind asked for and not damaged."


class UnreadablePhoto(FileTrouble):
    """The file is not a picture that can be read whole."""

    code = "unreadable-photo"
    way_on = "Save or send the photo again as JPEG, PNG, WebP, TIFF or HEIC, whole."


class PhotoTooLarge(FileTrouble):
    """The picture has more pixels than allowed."""

    code = "photo-too-large"
    way_on = "Make the photo smaller, or raise the limit with --max-megapixels."


class NotFound(FileTrouble):
    """There is no such file or name."""

    code = "not-found"
    way_on = "Check the name and the folder."


class CannotWrite(FileTrouble):
    """An output can't be written."""

    code = "cannot-write"
    way_on = "Choose a folder that exists and that you may write to."


class Busy(PlaidcutError):
    """Too many cloths are waiting already, on the page."""

    code, exit_status = "busy", 3
    way_on = "Wait until some of them are measured, then try again."


class TooSoon(PlaidcutError):
    """A phone typed wrong digits too often, or too many phones send photos."""

    code, exit_status = "too-soon", 2
    way_on = "Wait, or choose other digits on the computer's page."


class CannotMeasure(PlaidcutError):
    """The photo can be read, but not measured or planned honestly."""

    code, exit_status = "not-measured", 4
    way_on = "Take another photo, or type the widths by ruler with --by-hand."


class Overexposed(CannotMeasure):
    """Too much of the photo is pure white to see the stripes."""

    code = "overexposed"
    way_on = "Take the photo again in softer light, or type widths by ruler with --by-hand."


class TooBlurred(CannotMeasure):
    """The photo is too blurred for the narrowest band of interest."""

    code = "too-blurred"
    way_on = (
        "Hold the phone still, tap the cloth to focus and take it again, "
        "or type widths by ruler with --by-hand."
    )


class NoScale(CannotMeasure):
    """Nothing in the photo says how big things are."""

    code = "no-scale"
    way_on = (
        "Lay the printed card flat on the cloth, whole in the picture; or give a rectangle of "
        "known size with --rectangle and --corners, or widths by ruler with --by-hand."
    )


class ScaleTooSmall(CannotMeasure):
    """The card covers too few pixels to be trusted."""

    code = "scale-too-small"
    way_on = "Move the camera closer, or use the larger card (plaidcut card --size sheet)."


class ScaleUncertain(CannotMeasure):
    """The scale that was found contradicts itself."""

    code = "scale-uncertain"
    way_on = (
        "Lay the card flat and take the photo from straight above, "
        "or mark its corners by hand with --corners."
    )


class NoCloth(CannotMeasure):
    """No woven cloth was found around the scale."""

    code = "no-cloth"
    way_on = "Fill the picture with the cloth, the card on it, and take the photo again."


class NotFlat(CannotMeasure):
    """The cloth lies in folds, or crumpled."""

    code = "not-flat"
    way_on = "Smooth the cloth out flat and take it again, or type widths by ruler with --by-hand."


class NothingFits(CannotMeasure):
    """No plan fits what was asked."""

    code = "nothing-fits"
    way_on = "Choose a narrower cut or a larger piece."


@dataclass(frozen=True, slots=True)
class Caution:
    """Something doubtful about a result that was given all the same.

    ``code`` is for programs (``"tilted"``), ``message`` a whole sentence for
    people that says what it means for the numbers and what would help.
    """

    code: str
    message: str
