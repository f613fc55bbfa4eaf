"""The cloths of a rug: those on the table with their pieces, and those on the shelf."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from plaidcut.cutting.garment import Garment
from plaidcut.documents.measurement import to_document
from plaidcut.documents.text import to_text
from plaidcut.errors import NotFound, UsageError
from plaidcut.page.desk import Desk
from plaidcut.page.downloads import plain_name
from plaidcut.page.forms import Typed, parts_of
from plaidcut.page.garments import garment_in
from plaidcut.page.pieces import FIRST, garment_toml, typed_of
from plaidcut.page.rugs import CLOTH
from plaidcut.page.table import MEASURED, Cloth
from plaidcut.rug.needs import Need, Supply
from plaidcut.rug.rug_file import counted_supply
from plaidcut.rug.supply_file import GarmentSupply, garment_of
from plaidcut.settings import Settings
from plaidcut.shelf.opening import open_shelf, shelf_path
from plaidcut.shelf.store import names
from plaidcut.sources import open_on_shelf
from plaidcut.stripes.measurement import Measurement

ON_TABLE: Final = "table:"
ON_SHELF: Final = "shelf:"

AT: Final = (1980, 1, 1, 0, 0, 0)
"""When files of an archive were changed, for all: the same rug gives the same archive."""


@dataclass(frozen=True, slots=True)
class Cloths:
    """The cloths that a rug can be hooked from."""

    desk: Desk

    def on_table(self) -> list[tuple[str, str]]:
        """Those on the table that are measured: what the form calls each, and its name."""
        found = [each for each in self.desk.table.cloths() if each.has(MEASURED)]
        return [(f"{ON_TABLE}{each.id}", each.name) for each in found]

    def on_shelf(self) -> list[tuple[str, str]]:
        """Those on the shelf."""
        if not shelf_path().is_file():
            return []
        with open_shelf(shelf_path()) as connection:
            return [(f"{ON_SHELF}{name}", name) for name in names(connection)]

    def called(self, stem: str) -> str:
        """What the form calls the cloth of a file of that name; nothing where there is none."""
        for each in self.desk.table.cloths():
            if each.has(MEASURED) and stem in (_stem(each), plain_name(each.name), each.name):
                return f"{ON_TABLE}{each.id}"
        shelved = [called for called, name in self.on_shelf() if name == stem]
        return shelved[0] if shelved else ""

    def files_of(self, typed: Typed) -> dict[str, str]:
        """The fields of a rug file that name the files of a supply that is a cloth."""
        chosen = typed.get("cloth", "")
        if chosen.startswith(ON_SHELF):
            if not typed.get("pieces"):
                msg = f"{typed.get('name') or 'A cloth of the shelf'}: its pieces are missing."
                raise UsageError(msg, hint='Type them, one on each line: "2 of 17 x 25 in".')
            return {"cloth": chosen.removeprefix(ON_SHELF)}
        cloth = self._on_table(chosen)
        files = {"cloth": f"{_stem(cloth)}.json"}
        return files if typed.get("pieces") else {"garment": f"{_stem(cloth)}.toml", **files}

    def counted(
        self, supply: GarmentSupply, typed: Typed, needs: tuple[Need, ...], settings: Settings
    ) -> Supply:
        """The strips of a cloth, counted for what the areas want of it.

        Raises
        ------
        PlaidcutError
            If it is gone, its pieces can't be read, or no direction can be cut.
        """
        chosen = typed.get("cloth", "")
        if chosen.startswith(ON_SHELF):
            source = open_on_shelf(chosen.removeprefix(ON_SHELF), shelf_path())
            measurement, garment = source.measurement, garment_of(supply, _no_file)
        else:
            cloth = self._on_table(chosen)
            measurement = self.desk.opener.measurement(cloth)
            garment = garment_of(supply, lambda _: _pieces_of(cloth, measurement))
        return counted_supply(supply, garment, measurement, needs, settings.cuts)

    def archive(self, typed: Mapping[str, str], rug_toml: str) -> bytes:
        """A rug's file with the files of its cloths that lie on the table, as ZIP."""
        held = {"rug.toml": rug_toml}
        for each in parts_of(typed, "supply"):
            if each.get("kind") == CLOTH and each.get("cloth", "").startswith(ON_TABLE):
                cloth = self._on_table(each["cloth"])
                measurement = self.desk.opener.measurement(cloth)
                held[f"{_stem(cloth)}.json"] = to_text(to_document(measurement))
                if not each.get("pieces"):
                    held[f"{_stem(cloth)}.toml"] = _file_of(cloth)
        file = io.BytesIO()
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, text in held.items():
                archive.writestr(zipfile.ZipInfo(name, AT), text)
        return file.getvalue()

    def _on_table(self, chosen: str) -> Cloth:
        if not chosen:
            msg = "It isn't said which cloth a wool is of."
            raise UsageError(msg, hint="Choose one from the table or the shelf.")
        return self.desk.table.cloth(chosen.removeprefix(ON_TABLE))


def _stem(cloth: Cloth) -> str:
    """What a cloth's files are called in a rug's archive: by its id too, as names come twice."""
    return f"{plain_name(cloth.name)}-{cloth.id[:6]}"


def _pieces_of(cloth: Cloth, measurement: Measurement) -> Garment:
    """The pieces of a cloth on the table."""
    typed = typed_of(cloth)
    if typed == FIRST:
        msg = f"{cloth.name} has no pieces yet."
        raise UsageError(msg, hint="Type them here, or at its own step of pieces.")
    return garment_in(typed, measurement, name=cloth.name)


def _file_of(cloth: Cloth) -> str:
    typed = typed_of(cloth)
    if typed.get("photo"):
        msg = f"A file can't hold the outline of the photo, of which {cloth.name} is cut."
        raise UsageError(msg, hint="Type the sizes of its pieces here, then take the file along.")
    return garment_toml(typed, cloth.name)


def _no_file(_: object) -> Garment:
    msg = "A cloth of the shelf has no garment file."
    raise NotFound(msg)
