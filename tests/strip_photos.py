"""Small rendered photographs of loose strips, drawn once in a test run."""

import os
from functools import cache
from pathlib import Path

import numpy as np

from fixtures.render import keep
from fixtures.render.loose import POINT_STEP_MM, Strip, StripScene
from fixtures.render.scene import Camera, Light, Sensor, Stripe, Thing
from plaidcut.loose.measure import measure_strips
from plaidcut.photo import load_photo
from plaidcut.scale.card import find_card

KEPT = Path(__file__).parents[1] / ".cache" / "photos" / os.environ.get("PYTEST_XDIST_WORKER", "")

RED, NAVY, CREAM = "#a8232a", "#1e2a4c", "#e6dcc3"


def straight(width_mm, start, *, length_mm=90.0, angle_deg=0.0, colour=RED, along=None, **how):
    """A straight strip from a point of the table, in millimetres from the picture's middle."""
    turn = np.radians(angle_deg)
    steps = np.arange(0, length_mm + 1e-9, POINT_STEP_MM)
    line = np.array(start) + steps[:, None] * [np.cos(turn), np.sin(turn)]
    return Strip(
        cut=how.pop("cut", "?"),
        width_mm=width_mm,
        line_mm=tuple((float(x), float(y)) for x, y in line),
        along=along or (Stripe(colour, 1),),
        crossing=(Stripe(colour, 1),),
        pitch_mm=0.6,
        thick_mm=how.pop("thick_mm", 1.0),
        **how,
    )


@cache
def photograph(name, strips, *, px_per_mm=7.0, table="grey"):
    """The photo of strips with a wallet card below them, 23 x 17 cm at 7 px/mm."""
    scene = StripScene(
        name=name,
        suite="tests",
        seed=5,
        cloth=None,
        camera=Camera(width_px=1600, height_px=1200, px_per_mm=px_per_mm, tilt_deg=3.0, k1=-0.004),
        light=Light(exposure=0.8),
        sensor=Sensor(blur_px=0.6, full_well=12000.0, read_noise=0.001, quality=90),
        table=table,
        things=(Thing(kind="wallet", center_mm=(0.0, 50.0), angle_deg=3.0),),
        strips=strips,
    )
    path, _ = keep(scene, KEPT)
    return load_photo(path)


@cache
def measured(name, strips, **how):
    """What plaidcut makes of that photo, the scale taken from the card."""
    photo = photograph(name, strips, **how)
    return measure_strips(photo, find_card(photo.pixels))


def rows(*widths_mm, **how):
    """Strips one below the other, 14 mm apart, from the picture's top."""
    return tuple(
        straight(width, (-90.0 if k % 2 else 5.0, -70.0 + 15.0 * (k // 2)), length_mm=82.0, **how)
        for k, width in enumerate(widths_mm)
    )
