"""Small rendered photographs of setts, drawn once and measured once in a test run."""

import os
from functools import cache
from pathlib import Path

from fixtures.render import Scene, keep
from fixtures.render.scene import Camera, Cloth, Lay, Light, Sensor, Stripe, System, Thing, Weave
from plaidcut.photo import load_photo
from plaidcut.scale.card import find_card
from plaidcut.stripes.measure import measure_cloth
from tests.setts import HEX

KEPT = Path(__file__).parents[1] / ".cache" / "photos" / os.environ.get("PYTEST_XDIST_WORKER", "")


def woven(text, pitch_mm):
    """A thread system of letters and thread counts, one whole repeat: ``K4 R24``."""
    stripes = tuple(Stripe(HEX[word[0]], int(word[1:])) for word in text.split())
    return System(stripes=stripes, pitch_mm=pitch_mm)


def scene_of(name, up, across, *, pitch_mm=(0.7, 0.7), weave=Weave.TWILL, seed=1):
    """A cloth with a wallet card beside the middle, 24 x 18 cm at 8 px/mm."""
    return Scene(
        name=name,
        suite="tests",
        seed=seed,
        cloth=Cloth(
            kind="plaid",
            warp=woven(up, pitch_mm[0]),
            weft=woven(across, pitch_mm[1]),
            weave=weave,
            phase_mm=(3.0, 5.0),
            lay=Lay(angle_deg=88),
        ),
        camera=Camera(width_px=1920, height_px=1440, px_per_mm=8.0, tilt_deg=4.0, k1=-0.005),
        light=Light(exposure=0.78),
        sensor=Sensor(blur_px=0.5, full_well=12000.0, read_noise=0.001, quality=90),
        things=(Thing(kind="wallet", center_mm=(66.0, -50.0), angle_deg=4.0),),
    )


@cache
def photograph(name, up, across, **how):
    """The photo of such a cloth, drawn once."""
    path, _ = keep(scene_of(name, up, across, **how), KEPT)
    return load_photo(path)


@cache
def measured(name, up, across, *, narrowest_mm=1.0, **how):
    """What plaidcut makes of that photo, the scale taken from the card."""
    photo = photograph(name, up, across, **how)
    return measure_cloth(photo, find_card(photo.pixels), narrowest_mm=narrowest_mm)
