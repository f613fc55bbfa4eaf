"""Where labels go, so that none lies on another."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of the picture, in pixels."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether two boxes share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def within(self, other: Box) -> bool:
        """Whether this box lies inside another."""
        return (
            self.left >= other.left
            and self.top >= other.top
            and self.right <= other.right
            and self.bottom <= other.bottom
        )


def spread(wanted: ArrayLike, *, apart: float, low: float, high: float) -> NDArray[np.float64]:
    """Places (N,) nearest to the wanted ones, in their order, no two closer than ``apart``.

    Least squares under the constraint, which after taking out the spacing is an isotonic
    regression; then clipped to between ``low`` and ``high``, which keeps it optimal.

    Raises
    ------
    ValueError
        If there is no room for them all.

    Examples
    --------
    >>> spread([10, 11, 50], apart=10, low=0, high=100).tolist()
    [5.5, 15.5, 50.0]
    """
    from scipy.optimize import isotonic_regression

    wanted = np.asarray(wanted, float)
    steps = apart * np.arange(len(wanted))
    if len(wanted) and steps[-1] > high - low + 1e-9:
        msg = f"{len(wanted)} labels {apart:g} px apart don't fit between {low:g} and {high:g}"
        raise ValueError(msg)
    if not len(wanted):
        return wanted
    free = np.asarray(isotonic_regression(wanted - steps).x)
    return np.clip(free, low, high - steps[-1]) + steps
