"""What is fuzzed: every reader of files and the page, each with good files to begin from."""

import io
import tempfile
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pillow_heif
from PIL import Image

from plaidcut.cutting.both_ways import WhatToPlan, plan_both_ways
from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.cutting.garment_file import parse_garment
from plaidcut.documents import corrections, measurement, plan
from plaidcut.documents.text import from_text, to_text
from plaidcut.errors import PlaidcutError
from plaidcut.files import read_text
from plaidcut.photo import load_photo
from plaidcut.settings import parse_settings
from plaidcut.shelf.archive import look_through, write_archive
from plaidcut.shelf.check import check
from plaidcut.shelf.opening import open_shelf, writing
from plaidcut.units import parse_length, parse_size, parse_weight
from tests.fuzz import asking
from tests.setts import cloth
from tests.shelf.wool import CORRECTIONS, kept, shelve

FIXTURES = Path(__file__).parents[2] / "fixtures"


@dataclass(frozen=True)
class Target:
    """A reader; it may refuse with a PlaidcutError, and nothing else."""

    reader: Callable[[Path], object]
    seeds: Callable[[], Sequence[bytes]]

    def read(self, data: bytes) -> None:
        """Give it a file of these bytes."""
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "fuzzed"
            path.write_bytes(data)
            with suppress(PlaidcutError):
                self.reader(path)


def photos() -> list[bytes]:
    """One of each kind."""
    pillow_heif.register_heif_opener()
    pixels = np.random.default_rng(1).integers(0, 256, (24, 32, 3)).astype(np.uint8)
    files = []
    for kind in ("JPEG", "PNG", "WEBP", "TIFF", "HEIF"):
        file = io.BytesIO()
        Image.fromarray(pixels).save(file, kind)
        files.append(file.getvalue())
    return files


def documents() -> list[bytes]:
    """A cloth with a photo and one without."""
    cloths = (kept("Harbour skirt", photo=True), kept("Quarry kilt", "G20 W4"))
    return [to_text(dict(each.document)).encode() for each, _ in cloths]


def plans() -> list[bytes]:
    """A plan's document."""
    measured = cloth("G20 W4", "K8 R12")
    found = plan_both_ways(measured, WhatToPlan(cut=parse_cut("8", cut_table())))
    return [to_text(plan.to_document(found, measured)).encode()]


def made(write: Callable[[Path, Path], Path]) -> list[bytes]:
    """The file that is made of a small shelf."""
    with tempfile.TemporaryDirectory() as folder:
        shelf = Path(folder) / "shelf.db"
        shelve(shelf, kept("Harbour skirt", photo=True), kept("Quarry kilt", "G20 W4"))
        return [write(shelf, Path(folder) / "room.zip").read_bytes()]


def archived(shelf: Path, file: Path) -> Path:
    """The shelf's archive."""
    with open_shelf(shelf) as connection:
        write_archive(connection, file)
    return file


def closed(shelf: Path, _: Path) -> Path:
    """The shelf's own file, whole."""
    with open_shelf(shelf) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return shelf


def look_over(path: Path) -> None:
    """Open a shelf, and check it."""
    with open_shelf(path) as connection, writing(connection):
        check(connection)


def words(path: Path) -> None:
    """Read lengths, sizes and weights as they are typed."""
    text = path.read_bytes().decode(errors="replace")
    for parse in (parse_length, parse_size, parse_weight):
        with suppress(PlaidcutError):
            parse(text)


def toml(pattern: str) -> Callable[[], list[bytes]]:
    """Example files."""
    return lambda: [path.read_bytes() for path in sorted(FIXTURES.glob(pattern))]


TARGETS = {
    "photo": Target(lambda path: load_photo(path, max_megapixels=2), photos),
    "settings": Target(
        lambda path: parse_settings(read_text(path), file_name="x"),
        lambda: [b'units = "mm"\ncut = "8"\n[cuts.widths]\n8 = "6 mm"\n[coverage]\n8 = 5.0\n'],
    ),
    "garment": Target(
        lambda path: parse_garment(read_text(path), file_name="x"), toml("garment-*.toml")
    ),
    "measurement": Target(
        lambda path: measurement.to_document(measurement.from_document(from_text(read_text(path)))),
        documents,
    ),
    "corrections": Target(
        lambda path: corrections.from_document(from_text(read_text(path))),
        lambda: [to_text(CORRECTIONS).encode()],
    ),
    "plan": Target(lambda path: plan.check_document(from_text(read_text(path))), plans),
    "archive": Target(look_through, lambda: made(archived)),
    "requests": Target(asking.ask, lambda: asking.SEEDS),
    "shelf": Target(look_over, lambda: made(closed)),
    "words": Target(words, lambda: [b"3 1/2 in", b"20 x 14 in", b"4 1/2 oz", "3½″".encode()]),
}


def seeds_of(name: str) -> Sequence[bytes]:
    """Good files to begin from."""
    return TARGETS[name].seeds()
