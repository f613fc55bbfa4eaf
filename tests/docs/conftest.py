"""Her folder: the photos and files that the pages speak of."""

import os
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from fixtures.render import keep
from fixtures.render.scene import Camera, Thing
from fixtures.render.suites import hard
from tests import strip_photos
from tests.docs.pages import ROOT
from tests.wool_photos import scene_of

KEPT = ROOT / ".cache" / "photos" / os.environ.get("PYTEST_XDIST_WORKER", "")
PHOTOS = ROOT / "fixtures" / "photos"
COPIED = {
    "skirt.jpg": PHOTOS / "harbour-skirt.jpg",
    "kilt.jpg": PHOTOS / "quarry-kilt.jpg",
    "new.jpg": PHOTOS / "quarry-kilt.jpg",
    "wall.jpg": PHOTOS / "pantry-shawl.jpg",
    "pattern.jpg": PHOTOS / "pantry-shawl.jpg",
    "photos/skirt.jpg": PHOTOS / "harbour-skirt.jpg",
    "photos/kilt.jpg": PHOTOS / "quarry-kilt.jpg",
    "skirt.toml": ROOT / "fixtures" / "garment-harbour-skirt.toml",
    "harbour.toml": ROOT / "fixtures" / "rug-harbour-hearth.toml",
    "garment-harbour-skirt.toml": ROOT / "fixtures" / "garment-harbour-skirt.toml",
    "demo.jpg": ROOT / "fixtures" / "demo.jpg",
}
DRAWN = {
    "index.jpg": (Thing(kind="index", center_mm=(20.0, -20.0), angle_deg=4.0),),
    "ruler.jpg": (Thing(kind="ruler-in", center_mm=(0.0, -50.0), angle_deg=4.0),),
    "scan.jpg": (),
    "straight.jpg": (),
}
"""Small photos of a cloth on which lies what the page says."""
LIBRARY = "library.jpg"
"""A card of a library's is many-coloured, so its outline takes a whole photo to be made out."""
STRIPS = "strips.jpg"
"""Four strips of one cutter, whose #8 is a little narrow."""
PHOTOS_DRAWN = {*DRAWN, LIBRARY, STRIPS}
CAMERAS = {
    "scan.jpg": Camera(width_px=1890, height_px=1417, px_per_mm=11.811, tilt_deg=0.0, k1=0.0),
    "straight.jpg": Camera(width_px=1920, height_px=1440, px_per_mm=8.0, tilt_deg=0.0, k1=0.0),
}
"""16 x 12 cm on a flatbed scanner at 300 dots to the inch, and 24 x 18 cm from straight above."""


EIGHTS = strip_photos.rows(6.1, 6.08, 6.13, 6.1)


@pytest.fixture
def her_folder(tmp_path, monkeypatch):
    """A folder of her own to type in, filled on demand, with a shelf and settings of its own."""
    monkeypatch.setenv("PLAIDCUT_SHELF", str(tmp_path / "shelf" / "shelf.db"))
    monkeypatch.setenv("PLAIDCUT_SETTINGS", str(tmp_path / "settings" / "settings.toml"))
    (tmp_path / "shelf").mkdir()
    (tmp_path / "settings").mkdir()
    (tmp_path / "settings" / "settings.toml").touch()
    folder = tmp_path / "her folder"
    (folder / "photos").mkdir(parents=True)
    for name, source in COPIED.items():
        shutil.copy(source, folder / name)
    monkeypatch.chdir(folder)
    return folder


def draw(name):
    """One of the photos that the renderer draws, kept once drawn."""
    if name == LIBRARY:
        (scene,) = (each for each in hard(seed=1) if each.name.endswith("id1-card"))
        return Path(keep(scene, KEPT)[0])
    if name == STRIPS:
        return strip_photos.KEPT / strip_photos.photograph("eights", EIGHTS).name
    scene = scene_of(name.partition(".")[0], "B8 W4 B12 R8 B12 W4", "B8 W4 B12 R8 B12 W4")
    scene = replace(scene, things=DRAWN[name], camera=CAMERAS.get(name, scene.camera))
    path, _ = keep(scene, KEPT)
    return Path(path)
