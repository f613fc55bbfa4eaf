"""What the documents' models have in common."""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

from plaidcut.shown import is_shown_whole

MOST: Final = 1e9
"""Beyond it nothing is a length in mm or a place in pixels: what reckons with such a number would
overflow or never end (chosen here)."""

LONGEST_WORDS: Final = 4000
"""Characters of a name or a sentence in a document (chosen here)."""


def _checked_words(text: str) -> str:
    if not is_shown_whole(text):
        msg = "it holds control characters"
        raise ValueError(msg)
    return text


Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]
Number = Annotated[float, Field(ge=-MOST, le=MOST)]
Length = Annotated[float, Field(gt=0, le=MOST)]
Spread = Annotated[float, Field(ge=0, le=MOST)]
"""Of what is read, a standard uncertainty or another length that may be nought."""
Point = tuple[Number, Number]
Row = tuple[Number, Number, Number]
Words = Annotated[str, StringConstraints(max_length=LONGEST_WORDS), AfterValidator(_checked_words)]
"""On one line, without control characters."""
Share = Annotated[float, Field(ge=0, le=1)]
BandId = Annotated[str, StringConstraints(pattern=r"^[UX][1-9]\d*$")]


class Part(BaseModel):
    """What all parts of documents have in common."""

    model_config = ConfigDict(frozen=True, allow_inf_nan=False, strict=True, extra="ignore")


class MadeBy(Part):
    """What made the document."""

    version: str = Field(description="Version of plaidcut.")
    settings: dict[str, object] = Field(default={}, description="Settings other than usual.")


Sha256 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Hex = Annotated[str, StringConstraints(pattern=r"^#[0-9a-f]{6}$")]
