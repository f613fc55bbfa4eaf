"""Every refusal through the command line: exit status, message, hint and JSON."""

import errno
import os
from dataclasses import dataclass, replace
from hashlib import sha256
from shutil import copytree

import cv2
import numpy as np
import pytest
from PIL import Image

from plaidcut.cli.faults import as_plaidcut_error
from plaidcut.documents.measurement import to_document
from plaidcut.documents.text import to_text
from plaidcut.pictures.card_picture import card_picture
from plaidcut.scale.card_layout import CardSize
from plaidcut.scale.points import given
from plaidcut.stripes.measurement import PhotoRecord
from plaidcut.tasks import measure_by_hand


@dataclass(frozen=True)
class Case:
    """A command line that must be refused."""

    code: str
    status: int
    words: str
    message: str
    hint: str

    @property
    def argv(self):
        """The words, split where a shell would."""
        return [word.replace("_", " ") for word in self.words.split()]


BAD = [
    Case("usage", 2, "measure", "no photo to measure", "--by-hand"),
    Case("usage", 2, "measure --ruller in", "No such option", "plaidcut measure --help"),
    Case("usage", 2, "mesure photo.png", "No such command 'mesure'", "plaidcut --help"),
    Case("usage", 2, "measure photo.png --units cm", "'cm' is not one of", "measure --help"),
    Case("usage", 2, "measure photo.png --px-per-mm few", "valid number", "measure --help"),
    Case("usage", 2, "measure photo.png --px-per-mm 0", "more than nothing", "--help"),
    Case("usage", 2, "measure photo.png --px-per-mm nan", "nan", "--help"),
    Case("usage", 2, "measure photo.png --id1 --px-per-mm 8", "one way only", "--ruler"),
    Case("usage", 2, "measure photo.png --corners 1,1 9,1 9,9 1,9", "the size", "--rectangle"),
    Case("usage", 2, "measure photo.png --id1 --corners 1,1 9,1 9,9 1", '"1"', "120,340"),
    Case("usage", 2, "measure photo.png --points 1,1,9,1", "distance", "--apart"),
    Case("usage", 2, "measure photo.png --apart 5_in", "two points", "--points"),
    Case("usage", 2, "measure photo.png --printed-width 97_mm", "one way", "--printed-height"),
    Case("usage", 2, "measure photo.png --picture marked.gif", "marked.gif", ".png"),
    Case("usage", 2, "measure photo.png --out a.json --csv a.json", "same file", "name of its own"),
    Case("usage", 2, "measure --mirrored", "--by-hand", "--help"),
    Case("usage", 2, "measure photo.png --by-hand red_1_in", "needs no photo", "Leave"),
    Case("usage", 2, "measure --by-hand rust_1_in", '"rust" is no colour', "navy"),
    Case("usage", 2, "measure --by-hand red_1_in --picture a.png", "no photo to mark", "--picture"),
    Case("usage", 2, "measure cloth.json --washed yes", "measured before", "Leave them out"),
    Case("usage", 2, "measure cloth.json --check U1", "a band and its width", "U4 = 1/2 in"),
    Case("usage", 2, "yield cloth.json --cut 11", "no cut #11 in the stepped table", "8.5"),
    Case("usage", 2, "yield cloth.json --keep U9", "U9", "U"),
    Case("usage", 2, "yield cloth.json --from U1", "two ends", "--to"),
    Case("usage", 2, "yield photo.png --photo photo.png", "--photo", "Leave it out"),
    Case("usage", 2, "card", "needs a file", "--out card.pdf"),
    Case("bad-length", 2, "measure --by-hand red_1/2", "no unit", '"1/2 in" or "1/2 mm"'),
    Case("bad-length", 2, "measure photo.png --rectangle 6x4", "no unit", '"6x4 in"'),
    Case("bad-length", 2, "measure photo.png --narrowest 0_mm", "not more than nothing", "zero"),
    Case("bad-length", 2, "yield cloth.json --cut 8_in", "no width for a strip", "--cut 8"),
    Case(
        "bad-length",
        2,
        "card --out c.pdf --printed-width 97 --printed-height 97",
        "no unit",
        "97 mm",
    ),
    Case("exists", 2, "measure cloth.json --out cloth.json", "cloth.json is there", "--force"),
    Case("needs-photo", 2, "measure measured.json --picture a.png", "no pixels", "--photo"),
    Case("unreadable-photo", 3, "measure noise.jpg", "noise.jpg", "JPEG, PNG"),
    Case(
        "photo-too-large", 3, "measure white.png --max-megapixels 0.01", "400 × 300", "megapixels"
    ),
    Case("not-found", 3, "measure nowhere.jpg", "nowhere.jpg", "name and the folder"),
    Case("not-found", 3, "card --out c.pdf --settings none.toml", "none.toml", "name"),
    Case("bad-file", 3, "yield cut-off.json", "cut-off.json", "damaged"),
    Case("bad-file", 3, "yield other.json", "other.json: ", "kind"),
    Case("bad-file", 3, "card --out c.pdf --settings bad.toml", "bad.toml, line 1, units", "Mend"),
    Case("cannot-write", 3, "card --out no/such/folder/c.pdf", "no/such/folder", "exists"),
    Case("cannot-write", 3, "card --out .", "folder", "file name"),
    Case("overexposed", 4, "measure white.png", "100 % of the photo is pure white", "softer light"),
    Case("too-blurred", 4, "measure blurred.png", "blurred", "tap the cloth"),
    Case("no-scale", 4, "measure photo.png", "card", "--by-hand"),
    Case("no-scale", 4, "measure photo.png --rectangle 6_in_x_4_in", "152.4 x 101.6", "--corners"),
    Case("no-scale", 4, "measure photo.png --ruler in", "graduations", "--points"),
    Case("scale-too-small", 4, "measure photo.png --points 9,9,12,9 --apart 1_in", "points", ""),
    Case("scale-too-small", 4, "measure afar.png", "too small", "closer"),
    Case("no-cloth", 4, "measure card.png", "woven cloth", "Fill the picture"),
    Case("scale-uncertain", 4, "measure two.png", "disagree", "one card"),
]


def noisy_photo(*cards, blur_px=0.0):
    """A photo of noise with cards laid on it: for each its dots per inch and its left edge."""
    picture = np.random.default_rng(4).integers(90, 160, (700, 1300, 3)).astype(np.uint8)
    for dpi, left in cards:
        card = cv2.resize(CARD, None, fx=dpi / 300, fy=dpi / 300, interpolation=cv2.INTER_AREA)
        high, wide = card.shape[:2]
        picture[100 : 100 + high, left : left + wide] = card
    return cv2.GaussianBlur(picture, (0, 0), blur_px) if blur_px else picture


CARD = card_picture(CardSize.WALLET, dpi=300)


@pytest.fixture(scope="module")
def prepared(tmp_path_factory):
    """A folder with photos of nothing, documents and settings, good and bad."""
    folder = tmp_path_factory.mktemp("prepared")
    noise = np.random.default_rng(4).integers(0, 255, (300, 400, 3)).astype(np.uint8)
    Image.fromarray(noise).save(folder / "photo.png")
    Image.fromarray(noisy_photo((150, 100), blur_px=7)).save(folder / "blurred.png")
    Image.fromarray(noisy_photo((150, 100))).save(folder / "card.png")
    Image.fromarray(noisy_photo((30, 100))).save(folder / "afar.png")
    Image.fromarray(noisy_photo((150, 50), (140, 700))).save(folder / "two.png")
    Image.new("RGB", (400, 300), "white").save(folder / "white.png")
    (folder / "noise.jpg").write_bytes(noise.tobytes()[:4000])
    typed = measure_by_hand("red 1/2 in, navy 1 in")
    document = to_text(to_document(typed))
    (folder / "cloth.json").write_text(document, encoding="utf-8")
    (folder / "cut-off.json").write_text(document[:300], encoding="utf-8")
    (folder / "other.json").write_text('{"document": "shopping-list", "version": 1}')
    digest = sha256((folder / "photo.png").read_bytes()).hexdigest()
    photo = PhotoRecord(name="photo.png", width_px=400, height_px=300, sha256=digest)
    measured = replace(typed, photo=photo, scale=given((400, 300), 8.0))
    (folder / "measured.json").write_text(to_text(to_document(measured)), encoding="utf-8")
    (folder / "bad.toml").write_text('units = "cm"')
    return folder


@pytest.fixture
def here(prepared, tmp_path, monkeypatch):
    """The prepared folder, copied and entered."""
    folder = tmp_path / "here"
    copytree(prepared, folder)
    monkeypatch.chdir(folder)
    return folder


@pytest.mark.parametrize("case", BAD, ids=lambda case: f"{case.code}: {case.words}")
def test_a_refusal_says_what_is_wrong_and_what_to_do(case, here, plaidcut):
    """In words on standard error, with nothing on standard output, and no file is written."""
    before = {path.name: path.read_bytes() for path in here.iterdir()}
    answer = plaidcut(*case.argv)
    assert answer.status == case.status
    assert answer.out == ""
    message, *way_on = answer.err.rstrip("\n").split("\n")
    assert case.message in message
    assert case.hint in "\n".join(way_on)
    assert "Traceback" not in answer.err
    assert {path.name: path.read_bytes() for path in here.iterdir()} == before


@pytest.mark.parametrize("case", BAD, ids=lambda case: f"{case.code}: {case.words}")
def test_a_refusal_in_json_is_one_document(case, here, plaidcut):
    """With --json the same stands in one document on standard output, usage errors too."""
    answer = plaidcut(*case.argv, "--json")
    assert answer.status == case.status
    assert answer.err == ""
    assert answer.error["code"] == case.code
    assert case.message in answer.error["message"]
    assert case.hint in answer.error["hint"]


@pytest.mark.parametrize(
    ("number", "code"),
    [
        (errno.ENOSPC, "cannot-write"),
        (errno.EROFS, "cannot-write"),
        (errno.EACCES, "bad-file"),
        (errno.EPERM, "bad-file"),
    ],
)
def test_what_the_system_refuses(number, code):
    """A full disk is of writing; a place that isn't hers may be read or written, and is named."""
    told = as_plaidcut_error(OSError(number, os.strerror(number), "hers.jpg"))
    assert (told.code, told.exit_status) == (code, 3)
    assert code == "cannot-write" or "hers.jpg" in told.message
