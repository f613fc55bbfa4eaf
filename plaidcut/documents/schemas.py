"""The JSON Schemas of the documents, made from the code that writes them.

``python -m plaidcut.documents.schemas FOLDER`` writes them into a folder.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from plaidcut.documents import (
    corrections,
    cuts,
    garment,
    loose,
    measurement,
    plan,
    rows,
    rug,
    shelf,
    yields,
)
from plaidcut.documents.corrections_model import CorrectionsDocument
from plaidcut.documents.measurement_model import MeasurementDocument
from plaidcut.documents.plan_model import PlanDocument
from plaidcut.documents.text import JsonObject, to_text

if TYPE_CHECKING:
    from pydantic import BaseModel

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"

MODELS: Final[dict[str, type[BaseModel]]] = {
    measurement.NAME: MeasurementDocument,
    corrections.NAME: CorrectionsDocument,
    yields.NAME: yields.YieldDocument,
    cuts.NAME: cuts.CutsDocument,
    plan.NAME: PlanDocument,
    garment.NAME: garment.GarmentDocument,
    rows.NAME: rows.RowsDocument,
    rug.NAME: rug.RugDocument,
    loose.NAME: loose.LooseDocument,
    shelf.CLOTH: shelf.ClothDocument,
    shelf.SHELF: shelf.ShelfDocument,
    shelf.ADDED: shelf.AddedDocument,
    shelf.FOUND: shelf.FoundDocument,
    shelf.CHECKED: shelf.CheckedDocument,
}


def schema_of(name: str) -> JsonObject:
    """The JSON Schema of a kind of document; KeyError where there is no such kind."""
    schema = MODELS[name].model_json_schema()
    return {"$schema": DIALECT, **schema, "title": name}


def write_schemas(folder: Path) -> None:
    """Write the schema of every kind of document into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in MODELS:
        (folder / f"{name}.json").write_text(to_text(schema_of(name)), encoding="utf-8")


if __name__ == "__main__":
    write_schemas(Path(sys.argv[1]))
