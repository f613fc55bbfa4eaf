"""A close look at the cloth before its stripes are followed: single threads, and columns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.columns import Columns, herringbone_columns
from plaidcut.cloth.lattice import Lattice, Structure, thread_lattice
from plaidcut.cloth.patches import Patch, cloth_patches
from plaidcut.cloth.view import PlaneView
from plaidcut.scale.plane import Scale

if TYPE_CHECKING:
    from plaidcut.photo import Photo

COLUMN_MM: Final = 8.0
"""A herringbone's columns are 6.4 to 12.7 mm wide (facts section 10)."""
COARSER: Final = 4
"""How many times coarser than the view is enough for that."""
NO_STRIPES: Final = 0.006
"""Spread of tones over whole columns, on a perceptual scale 0..1, in a herringbone without
stripes: those have up to 0.004, cloth with stripes, thin lines too, 0.012 and more (drawn
photos)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CloseLook:
    """What small patches of the cloth show."""

    scale: Scale
    """Under which they were cut out."""
    patches: tuple[Patch, ...]
    lattice: Lattice | None
    """None where no threads are told apart."""
    columns: Columns | None
    """None where there are none."""


def shows_stripes(view: PlaneView, marked: NDArray[np.bool_]) -> bool:
    """Whether anything is left of the cloth's figure once it is blurred over a column.

    Not in plain cloth, nor in a herringbone, whose twill's lines are all that could be followed.
    """
    import cv2

    size = [max(1, round(n / COARSER)) for n in marked.shape[::-1]]
    share, tones = (
        np.asarray(cv2.resize(each, size, interpolation=cv2.INTER_AREA), np.float32)
        for each in (marked.astype(np.float32), view.percept * marked[..., None])
    )
    spread_px = COLUMN_MM * view.px_per_mm / COARSER

    def blurred(std_px: float) -> NDArray[np.float32]:
        known = np.maximum(np.asarray(cv2.GaussianBlur(share, (0, 0), std_px)), 1e-3)
        return np.asarray(cv2.GaussianBlur(tones, (0, 0), std_px) / known[..., None], np.float32)

    inside = cv2.erode(share, np.ones(2 * [2 * round(spread_px) + 1], np.uint8)) > 0.99
    if not inside.any():
        return True
    left = (blurred(spread_px / 2) - blurred(3 * spread_px))[inside]
    return bool(np.sqrt((left**2).sum(axis=1).mean()) > NO_STRIPES)


def close_look(
    photo: Photo,
    scale: Scale,
    view: PlaneView,
    marked: NDArray[np.bool_],
    *,
    along_deg: tuple[float, float] | None = None,
) -> CloseLook:
    """Look at small patches of the cloth that ``marked`` (H, W) of the view says is cloth.

    ``along_deg`` are the directions across both systems, where stripes have told them.
    """
    patches = cloth_patches(photo, scale, view, marked)
    lattice = thread_lattice(patches, along_deg=along_deg)
    columns = None
    if lattice is not None and lattice.structure is Structure.HERRINGBONE:
        columns = herringbone_columns(patches, lattice)
    return CloseLook(scale=scale, patches=patches, lattice=lattice, columns=columns)
