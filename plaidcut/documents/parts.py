"""What the documents' models have in common."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Point = tuple[float, float]
Row = tuple[float, float, float]
Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]
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
