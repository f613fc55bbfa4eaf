"""The scale from a plain ruler or tape: its graduations, found at any angle."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from plaidcut.errors import NoScale, ScaleUncertain
from plaidcut.scale.graduations import Figures, Graduations, Unit, read_graduations
from plaidcut.scale.outlines import long_strips
from plaidcut.scale.plane import Method, Points, Scale
from plaidcut.scale.pose import Rail, fit_pose

STRETCH_STD: Final = 1 / 32 / 36 / np.sqrt(3)
"""Relative standard uncertainty of a ruler's own length: 1/32 in on 36 in (P07), uniformly."""

LINE_STD_PX: Final = 0.1
"""Standard uncertainty of one line's place beside its scatter: a line of ink is no wider than half
the finest space (facts, section 11), so that its middle is known to a tenth of that."""

LIFT_STD_MM: Final = 1.0
"""How far a ruler's face lies above the cloth: 0.5 mm of tape or steel to 2.5 mm of wood (from
memory, no source). It makes the scale too large by that over the camera's distance (P09)."""

MOST_DISAGREEMENT: Final = 0.05
"""By how much the two edges of one ruler may disagree: 25 degrees of tilt across 30 mm of it, seen
from 300 mm, make that (derived)."""

MOST_MISFIT: Final = 2.0
"""`Pose.misfit` from which a ruler is bent, or its lines were not followed."""

ANCHOR_DEPTH_MM: Final = 20.0
"""How far into the ruler the fitted plane's anchors reach: about its width."""

KNOWN_TILT_STD_DEG: Final = 2.5
"""The tilt is told when it is known better than that."""

ENOUGH_LINES: Final = 60
"""Lines of a ruler with which the search ends."""

MOST_STRIPS: Final = 8
"""Long strips that are looked at, the longest first."""


@dataclass(frozen=True, slots=True, eq=False)
class _Ruler:
    """A strip with graduations that tell what they count on one or both of its edges."""

    outline_px: Points
    edges: tuple[Graduations, ...]

    @property
    def hull_px(self) -> Points:
        """Outline (M, 2) about the strip and all its lines."""
        import cv2

        points = [self.outline_px, *(edge.xy_px for edge in self.edges)]
        hull = cv2.convexHull(np.concatenate(points).astype(np.float32))
        return np.asarray(hull[:, 0], float)

    @property
    def lines(self) -> int:
        """How many lines it has."""
        return sum(len(edge.numbers) for edge in self.edges)


def find_ruler(pixels: NDArray[np.uint8], unit: Literal["in", "mm", "both"]) -> Scale:
    """Find a ruler or tape in a photo and take the scale from its graduations.

    Parameters
    ----------
    pixels
        Upright sRGB photo, (height, width, 3).
    unit
        What it is divided in; ``"both"`` for inches on one edge and millimetres on the other.

    Returns
    -------
    Scale
        x along an edge of the ruler, y into it. How the pitch changes along the ruler shows how
        it tilts lengthwise, how its lines fan out how it tilts about itself, and how the pitch
        departs from both the lens.

    Raises
    ------
    NoScale
        If no graduations can be read.
    ScaleUncertain
        If their longer lines say another unit, their figures other wholes, or one edge another
        scale than the other; or if the lines don't lie as a flat ruler's do.
    """
    height, width = pixels.shape[:2]
    size_px = (width, height)
    ruler = _best_ruler(pixels)
    rails = _rails(_edges_of_unit(ruler, unit))
    _check_agreement(size_px, rails)
    return replace(_scale_of(size_px, rails), mark_px=ruler.hull_px)


def _scale_of(size_px: tuple[int, int], rails: list[Rail]) -> Scale:
    """The scale from a ruler's edges, with what its thickness adds to the uncertainty."""
    pose = fit_pose(size_px, rails)
    if pose.misfit > MOST_MISFIT:
        raise ScaleUncertain(
            "The ruler's lines don't lie as those of a flat ruler do.",
            hint="Lay it flat; or photograph it nearer and sharper, so that its finest lines are "
            "clearly apart.",
        )
    start_mm, end_mm = rails[0].at_mm[[0, -1]]
    corners_mm = np.array(
        [[start_mm, 0], [end_mm, 0], [end_mm, ANCHOR_DEPTH_MM], [start_mm, ANCHOR_DEPTH_MM]]
    )
    scale = Scale(
        method=Method.RULER,
        size_px=size_px,
        plane_to_px=pose.plane_to_px,
        lens=pose.lens,
        relative_std=float(np.hypot(pose.relative_std, LIFT_STD_MM / pose.distance_mm)),
        lens_std=pose.lens_std,
        tilt_deg=pose.tilt_deg if pose.tilt_std_deg < KNOWN_TILT_STD_DEG else None,
        anchors_mm=corners_mm,
        anchor_std_px=rails[0].std_px,
    )
    return replace(scale, anchors_px=scale.to_px(corners_mm))


def _best_ruler(pixels: NDArray[np.uint8]) -> _Ruler:
    """The strip with most lines of which it is told what they count; NoScale when none has any."""
    best: _Ruler | None = None
    for outline in long_strips(pixels)[:MOST_STRIPS]:
        width_px = float(np.hypot(*(outline[2] - outline[1])))
        sides = ((outline[0], outline[1]), (outline[2], outline[3]))
        read = [read_graduations(pixels, *side, width_px=width_px) for side in sides]
        ruler = _Ruler(outline, tuple(edge for edge in read if edge and edge.hierarchy))
        if ruler.edges and (best is None or ruler.lines > best.lines):
            best = ruler
        if best is not None and best.lines > ENOUGH_LINES:
            break
    if best is None:
        raise NoScale(
            "No ruler whose graduations can be read was made out in the photo.",
            hint="Lay it flat on the cloth, its lines in focus, and so near that the finest are at "
            "least 5 pixels apart; or mark two of its lines with --points and --apart.",
        )
    return best


def _edges_of_unit(ruler: _Ruler, unit: str) -> list[Graduations]:
    """The edges to measure by, one of the stated unit first; ScaleUncertain when there is none."""
    told = ruler.edges
    stated = [edge for edge in told if unit in ("both", edge.unit)]
    if not stated:
        inches = told[0].unit is Unit.INCH
        grouped = "halving, as an inch's parts" if inches else "fives and tens, as millimetres"
        raise ScaleUncertain(
            f"--ruler {unit} was said, but the ruler's lines are grouped by {grouped} are.",
            hint=f"Say --ruler {told[0].unit}, if that is what the ruler shows.",
        )
    if len(told) == 1 and not _wholes_are_told(told[0]):
        raise ScaleUncertain(
            "The ruler's wholes and halves can't be told apart. Figures at its longest lines: "
            f"{told[0].figures}.",
            hint="Let at least four inches be in the picture, with their figures; or mark two of "
            "its lines with --points and say how far --apart they are.",
        )
    return sorted(told, key=lambda edge: (edge not in stated, -len(edge.numbers)))


def _wholes_are_told(edge: Graduations) -> bool:
    """Whether its longest lines are wholes, not halves as long as wholes.

    Only figures tell it of inches, whose halves halve again; fives and tens speak for themselves.
    """
    if edge.figures is Figures.NONE:
        return edge.unit is Unit.MM
    return edge.figures is Figures.EACH


def _rails(edges: list[Graduations]) -> list[Rail]:
    """The lines of edges that tell what they count, as points on the plane."""
    return [
        Rail(
            xy_px=edge.xy_px,
            inner_xy_px=edge.inner_xy_px,
            at_mm=at_mm,
            std_px=float(np.hypot(LINE_STD_PX, edge.stray_px)),
            stretch_std=STRETCH_STD,
        )
        for edge in edges
        if (at_mm := edge.at_mm) is not None
    ]


def _check_agreement(size_px: tuple[int, int], rails: list[Rail]) -> None:
    """Refuse a ruler whose two edges give different scales."""
    if len(rails) < 2:
        return
    middle = np.concatenate([rail.xy_px for rail in rails]).mean(axis=0)
    one, other = (_scale_of(size_px, [rail]).px_per_mm_at(middle) for rail in rails)
    apart = abs(float(np.log(one / other)))
    if apart > MOST_DISAGREEMENT:
        raise ScaleUncertain(
            f"The ruler's two edges give scales that differ by {100 * apart:.0f} %.",
            hint="Mark two of its lines with --points and say how far --apart they are.",
        )
