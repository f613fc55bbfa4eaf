"""Where she can go from a refusal: buttons, in place of the options that a command would name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class WayOn:
    """A button: what it says, and where it leads beneath the cloth's own address."""

    words: str
    leads_to: str


AGAIN: Final = WayOn("Choose another photo", "/")
SCALE: Final = WayOn("Mark the card or ruler by hand", "scale")
OUTLINE: Final = WayOn("Draw round the cloth by hand", "outline")
BY_HAND: Final = WayOn("Type widths from your ruler", "/by-hand")

ADVICE: Final = {
    "overexposed": "Take the photo again in softer light, away from lamps and the flash.",
    "too-blurred": "Hold the phone still, tap the cloth to focus, and take it again.",
    "no-scale": (
        "Lay the printed card flat on the cloth, whole in the picture. Or use any flat rectangle "
        "of known size, or a ruler, and mark it on the photo."
    ),
    "scale-too-small": "Move the camera closer, or print the larger card.",
    "scale-uncertain": (
        "Lay the card flat and take the photo from straight above; or mark its corners by hand."
    ),
    "no-cloth": "Fill the picture with the cloth, the card on it; or draw round the cloth.",
    "not-flat": "Smooth the cloth out flat, and take the photo again.",
    "unreadable-photo": "Save or send the photo again, whole, as JPEG, PNG, WebP, TIFF or HEIC.",
    "photo-too-large": "Make the photo smaller; phones can send one at a smaller size.",
}
"""What would help, by the error's code."""

WAYS: Final = {
    "overexposed": (AGAIN, BY_HAND),
    "too-blurred": (AGAIN, BY_HAND),
    "no-scale": (SCALE, AGAIN, BY_HAND),
    "scale-too-small": (SCALE, AGAIN, BY_HAND),
    "scale-uncertain": (SCALE, AGAIN, BY_HAND),
    "no-cloth": (OUTLINE, AGAIN, BY_HAND),
    "not-flat": (AGAIN, OUTLINE, BY_HAND),
    "unreadable-photo": (AGAIN, BY_HAND),
    "photo-too-large": (AGAIN, BY_HAND),
}
"""The buttons, the likeliest first."""


def ways_on(code: str) -> tuple[WayOn, ...]:
    """The buttons beneath a refusal."""
    return WAYS.get(code, (SCALE, AGAIN, BY_HAND))


def advice(code: str, hint: str) -> str:
    """What would help, in words that name nothing of the command line."""
    return ADVICE.get(code, "" if "--" in hint or "plaidcut " in hint else hint)
