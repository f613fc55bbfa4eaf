"""Colours as people see and name them (CIE L*a*b*, D65, 2 degree observer)."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plaidcut.srgb import light_table, srgb_of_light

Floats = NDArray[np.float64]

XYZ_OF_RGB: Final = np.array(
    [
        [0.412453, 0.357580, 0.180423],
        [0.212671, 0.715160, 0.072169],
        [0.019334, 0.119193, 0.950227],
    ]
)
"""Linear sRGB to CIE XYZ (primaries of ITU-R BT.709, white D65)."""

RGB_OF_XYZ: Final = np.linalg.inv(XYZ_OF_RGB)

WHITE_XYZ: Final = np.array([0.95047, 1.0, 1.08883])
"""XYZ of D65, 2 degree observer (ASTM E308)."""

CIE_DELTA: Final = 6 / 29
"""Where the CIE lightness function turns from a cube root to a line (CIE 15)."""

NAMES: Final = (
    "pink",
    "red",
    "yellowish pink",
    "reddish orange",
    "reddish brown",
    "orange",
    "brown",
    "orange yellow",
    "yellowish brown",
    "yellow",
    "olive brown",
    "greenish yellow",
    "olive",
    "yellow green",
    "olive green",
    "yellowish green",
    "green",
    "bluish green",
    "greenish blue",
    "blue",
    "purplish blue",
    "violet",
    "purple",
    "reddish purple",
    "purplish pink",
    "purplish red",
    "white",
    "gray",
    "black",
)
"""The 29 names of ISCC-NBS level 2 (NBS Special Publication 440), spelt as there."""

DARK_BELOW_MUNSELL: Final = 4.5
"""Munsell value that parts dark gray from medium gray in ISCC-NBS; from memory."""

LIGHT_FROM_MUNSELL: Final = 6.5
"""Munsell value that parts medium gray from light gray in ISCC-NBS; from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Colour:
    """One colour: for arithmetic, for show and for speech."""

    lab: tuple[float, float, float]
    """CIE L*a*b*, D65."""
    hex: str
    """sRGB for show, ``#rrggbb``."""
    name: str
    """Everyday name, ISCC-NBS level 2: "reddish brown"."""
    value: str
    """The craft's value: light, medium or dark."""

    @property
    def spoken(self) -> str:
        """Value and name: "dark reddish brown"; black and white say their value already."""
        return spoken_colour(self.name, self.value)


def spoken_colour(name: str, value: str) -> str:
    """A colour's value and name: "dark reddish brown", "black".

    A name of her own such as "light heather" says its value already.
    """
    says_value = name.partition(" ")[0] in ("light", "medium", "dark", "black", "white")
    return name if says_value else f"{value} {name}"


def colour_of_lab(lab: ArrayLike) -> Colour:
    """The colour of an L*a*b* value (3,), with its name; shown clipped to what sRGB holds.

    Examples
    --------
    >>> colour_of_lab((28.0, 24.0, 18.0)).spoken
    'dark reddish brown'
    """
    lightness, a, b = np.asarray(lab, float).tolist()
    return Colour(
        lab=(lightness, a, b),
        hex=hex_of_linear_rgb(linear_rgb_of_lab((lightness, a, b))),
        name=name_of_lab((lightness, a, b)),
        value=value_of_lightness(lightness),
    )


def colour_of_linear_rgb(rgb: ArrayLike) -> Colour:
    """The colour of linear-light sRGB (3,), 0..1; what lies outside is clipped."""
    return colour_of_lab(lab_of_linear_rgb(np.clip(np.asarray(rgb, float), 0, 1)))


def colour_of_hex(text: str) -> Colour:
    """The colour of ``#rrggbb``."""
    return colour_of_linear_rgb(linear_rgb_of_hex(text))


def colour_of_words(words: str) -> Colour | None:
    """The colour that everyday words mean: "dark green", "light blue", "navy", ``#7a1f2b``.

    Notes
    -----
    The 267 names of ISCC-NBS level 3 mean their centroids. A bare name such as "red", which
    level 3 hasn't, means its strong or, for browns and olives, its moderate kind, as does
    "medium". Other words are those of CSS. None where the words name no colour.
    """
    from PIL import ImageColor

    words = " ".join(words.lower().replace("grey", "gray").split())
    names, centroids = _centroids()
    hue = words.removeprefix("medium ")
    for name in (words, f"strong {hue}", f"moderate {hue}", f"medium {hue}"):
        if name in names:
            return colour_of_lab(centroids[names.index(name)])
    try:
        red, green, blue = ImageColor.getrgb(words.replace(" ", ""))[:3]
    except ValueError:
        return None
    return colour_of_hex(f"#{red:02x}{green:02x}{blue:02x}")


def name_of_lab(lab: ArrayLike) -> str:
    """Everyday name of an L*a*b* value (3,): one of :data:`NAMES`.

    Notes
    -----
    The nearest of the 267 centroids of ISCC-NBS level 3 by CIEDE2000 gives a name such as
    "dark grayish reddish brown"; the longest ending of it that is a level 2 name is the
    answer: "reddish brown". So "brownish pink", which level 2 hasn't, is pink, and
    "pinkish gray" gray.
    """
    names, centroids = _centroids()
    return _level_2(names[int(np.argmin(difference(centroids, lab)))])


def value_of_lightness(lightness: float) -> str:
    """The craft's value of L*: dark, medium or light.

    Notes
    -----
    The craft judges by squinting and gives no figures. The steps are those of the ISCC-NBS
    grays: dark below Munsell value 4.5 (L* 45.9), light from 6.5 (L* 66.0).
    """
    if lightness < lightness_of_munsell_value(DARK_BELOW_MUNSELL):
        return "dark"
    return "light" if lightness >= lightness_of_munsell_value(LIGHT_FROM_MUNSELL) else "medium"


def difference(lab: ArrayLike, other_lab: ArrayLike) -> Floats:
    """CIEDE2000 difference of L*a*b* values (..., 3), broadcast against each other (...)."""
    from skimage.color import deltaE_ciede2000

    both = np.broadcast_arrays(np.asarray(lab, float), np.asarray(other_lab, float))
    return np.asarray(deltaE_ciede2000(*both))  # type: ignore[no-untyped-call]


def lab_of_linear_rgb(rgb: ArrayLike) -> Floats:
    """CIE L*a*b* (..., 3) of linear-light sRGB (..., 3), 0..1."""
    ratio = np.asarray(rgb, float) @ XYZ_OF_RGB.T / WHITE_XYZ
    root = np.where(ratio > CIE_DELTA**3, np.cbrt(ratio), ratio / (3 * CIE_DELTA**2) + 4 / 29)
    x, y, z = np.moveaxis(root, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def linear_rgb_of_lab(lab: ArrayLike) -> Floats:
    """Linear-light sRGB (..., 3) of CIE L*a*b* (..., 3); outside 0..1 where sRGB has it not."""
    lightness, a, b = np.moveaxis(np.asarray(lab, float), -1, 0)
    y = (lightness + 16) / 116
    root = np.stack([y + a / 500, y, y - b / 200], axis=-1)
    ratio = np.where(root > CIE_DELTA, root**3, 3 * CIE_DELTA**2 * (root - 4 / 29))
    return np.asarray(ratio * WHITE_XYZ @ RGB_OF_XYZ.T)


def hex_of_linear_rgb(rgb: ArrayLike) -> str:
    """``#rrggbb`` of linear-light sRGB (3,), clipped to 0..1."""
    red, green, blue = np.rint(srgb_of_light(rgb) * 255).astype(int).tolist()
    return f"#{red:02x}{green:02x}{blue:02x}"


def linear_rgb_of_hex(text: str) -> Floats:
    """Linear-light sRGB (3,), 0..1, of ``#rrggbb``."""
    return np.asarray(light_table()[list(bytes.fromhex(text.removeprefix("#")))], float)


@cache
def lightness_of_munsell_value(value: float) -> float:
    """L* of a Munsell value, 0..10.

    Notes
    -----
    Luminance by the polynomial of ASTM D1535 (from memory; it returns the published
    12.23634 at value 4.0824437), lightness by CIE 15.
    """
    luminance = np.polyval([0.00081939, -0.020484, 0.23352, -0.22533, 1.1914, 0], value) / 100
    return float(116 * np.cbrt(luminance) - 16)


@cache
def _centroids() -> tuple[tuple[str, ...], Floats]:
    """The level 3 names and their centroids, L*a*b* (267, 3)."""
    path = resources.files("plaidcut").joinpath("data/iscc-nbs-centroids.csv")
    lines = [line for line in path.read_text("utf-8").splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    lab = np.array([[float(row[axis]) for axis in "Lab"] for row in rows])
    return tuple(row["name"] for row in rows), lab


def _level_2(name: str) -> str:
    """The longest ending of a level 3 name that is a level 2 name."""
    return max((short for short in NAMES if f" {name}".endswith(f" {short}")), key=len)
