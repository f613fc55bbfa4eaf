"""What is doubtful about a measurement that is given all the same."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plaidcut.cloth.cloth import Cloth
from plaidcut.errors import Caution
from plaidcut.scale.plane import Method, Scale
from plaidcut.stripes.measurement import Kind, LeftOut, ThreadSystem, Washed
from plaidcut.stripes.repeat import Doubt

STRONG_TILT_DEG = 15.0
"""Past this the far part of the cloth is seen too flat to be sure of its widths."""
FAR_MM = 250.0
"""Cloth farther than this from the mark leans on the lens being known."""
SURE_LENS = 0.004
"""Standard uncertainty of the lens's radial term from which distance from the mark matters."""
FEW_REPEATS = 1.5
LONGER = 1.5
"""How much longer than the other system's a repeat must be to be doubted for holding it all."""
LEAST_HELD = 4
"""Bands from which it is no chance that the widths of one repeat come again in the other."""
LIKE_MM, LIKE_SHARE = 0.5, 0.05
"""Widths that differ by less may be of one band of the sett."""
STRONG_CAST = 1.6
"""Ratio of the strongest to the weakest channel of the mark's white."""
GLARE_SHARE = 0.02
"""Share of the cloth that is pure white in the photo; a white yarn rarely is."""
PURE_WHITE = 0.95
"""Linear light of the darkest channel from which a spot counts as pure white."""


TOO_FINE = "too-fine-{}"
"""Code of the caution for a direction whose stripes are there and can't be told apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RepeatSeen:
    """How well one system's repeat was seen."""

    count: float
    """How many repeats the photo shows."""
    doubt: Doubt | None
    """Whether it might be longer or shorter than said."""


def cautions(
    cloth: Cloth,
    systems: tuple[ThreadSystem, ThreadSystem],
    repeats: tuple[RepeatSeen | None, RepeatSeen | None],
    too_fine: tuple[bool, bool],
    left_out: tuple[LeftOut, ...],
    *,
    kind: Kind,
    white_share: float,
    yarns_sure: bool,
    washed: Washed,
) -> tuple[Caution, ...]:
    """All that she should know, the gravest first."""
    up, across = systems
    found = [
        *_of_scale(cloth),
        *(_too_fine(each) for each, so in zip(systems, too_fine, strict=True) if so),
        *_of_kind(kind),
        *_of_repeat(up, repeats[0], other=across),
        *_of_repeat(across, repeats[1], other=up),
        *_of_regions(left_out),
        *_of_glare(white_share),
        *_of_colour(cloth.scale, systems, yarns_sure=yarns_sure),
    ]
    if washed is Washed.UNKNOWN:
        found.append(
            Caution(
                "washing-unknown",
                "Wool shrinks in its first wash: measure it washed and dry, and say so.",
            )
        )
    return tuple(found)


def _of_scale(cloth: Cloth) -> list[Caution]:
    scale, found = cloth.scale, []
    if scale.tilt_deg is not None and scale.tilt_deg > STRONG_TILT_DEG:
        found.append(
            Caution(
                "tilted",
                f"The camera was tilted by {scale.tilt_deg:.0f}°: widths far from the mark are "
                "less sure. Hold it straight above the cloth.",
            )
        )
    if scale.lens_std > SURE_LENS and len(scale.anchors_mm):
        away = np.linalg.norm(
            cloth.points(every_mm=16.0) - scale.anchors_mm.mean(axis=0), axis=1
        ).max()
        if away > FAR_MM:
            found.append(
                Caution(
                    "far-from-mark",
                    f"Some of the cloth lies {away / 10:.0f} cm from the mark, and no repeat shows "
                    "how the lens bends it: lay the mark in the middle of what you measure.",
                )
            )
    if scale.method in (Method.RULER, Method.POINTS):
        tells = (
            "Two points do not show whether the camera was tilted"
            if scale.tilt_deg is None
            else "A ruler's lines tell only roughly how the camera was tilted"
        )
        found.append(
            Caution(
                "plane-unknown",
                f"{tells}; the ± allows for it. The printed card does better.",
            )
        )
    return found


def _too_fine(system: ThreadSystem) -> Caution:
    """Stripes that are there, and of which nothing is counted."""
    return Caution(
        TOO_FINE.format(system.direction.value),
        f"There are stripes running {system.direction.spoken}, but too fine or too interwoven to "
        "be told apart. They are taken for one colour: count nothing by them.",
    )


def _of_kind(kind: Kind) -> list[Caution]:
    """A figure that colour and weave make together has lines of its own."""
    if kind is not Kind.GLEN_CHECK:
        return []
    return [
        Caution(
            "woven-figure",
            "Colour and weave make a glen check's figure together: its bands are two to four "
            "threads wide, and some may be missed or run into one. Go by how strips will look, "
            "and cut a test pass, rather than by counts of single bands.",
        )
    ]


def _of_repeat(
    system: ThreadSystem, repeat: RepeatSeen | None, *, other: ThreadSystem
) -> list[Caution]:
    way = system.direction.value
    name = f"{way} stripes"
    if not system.striped:
        return []
    if system.repeat_mm is None or repeat is None:
        found = [
            Caution(
                f"no-repeat-{way}",
                f"No repeat was seen in the {name}: the bands are all that the photo shows, and "
                "the first and last may run on.",
            )
        ]
        cut_off = {band.id for band in system.bands if band.partial}
        ended = [s for s in system.stripes if cut_off & set(s.bands)]
        if ended:
            ids = ", ".join(stripe.bands[0] for stripe in ended)
            found.append(
                Caution(
                    f"stripe-at-edge-{way}",
                    f"A bold stripe ({ids}) lies at the edge of what is seen: it is at least as "
                    "wide as said. Photograph more of the cloth.",
                )
            )
        return found
    if repeat.count < FEW_REPEATS:
        return [
            Caution(
                f"few-repeats-{way}",
                f"Only {repeat.count:.1f} repeats of the {name} are seen: photograph more of the "
                "cloth to be sure of the repeat.",
            )
        ]
    if repeat.doubt == "longer":
        of = "neighbours differ a little, so it may be two or three times as long"
    elif repeat.doubt == "shorter":
        of = "its parts differ only a little, so it may be a half or a third as long"
    elif _holds(system, other):
        of = (
            f"all {len(other.bands)} bands of the {other.direction.value} stripes' shorter repeat "
            "come in it: it may be as short, with a seam or a fold in the photo"
        )
    else:
        return []
    return [Caution(f"repeat-unsure-{way}", f"Look at the repeat of the {name}: {of}.")]


def _holds(long: ThreadSystem, short: ThreadSystem) -> bool:
    """Whether a repeat holds, in order, all the widths of the other system's shorter one."""
    if long.repeat_mm is None or short.repeat_mm is None or len(short.bands) < LEAST_HELD:
        return False
    if long.repeat_mm < LONGER * short.repeat_mm or len(long.bands) < len(short.bands):
        return False
    ring = np.array([band.width_mm for band in long.bands])
    sett = np.array([band.width_mm for band in short.bands])
    runs = np.stack([np.roll(ring, -at)[: len(sett)] for at in range(len(ring))])
    turned = [np.roll(order, at) for order in (sett, sett[::-1]) for at in range(len(sett))]
    return any(
        bool((np.abs(runs - order) < LIKE_MM + LIKE_SHARE * order).all(axis=1).any())
        for order in turned
    )


def _of_glare(white_share: float) -> list[Caution]:
    if white_share < GLARE_SHARE:
        return []
    return [
        Caution(
            "glare",
            f"{100 * white_share:.0f} % of the cloth is pure white in the photo: glare, or too "
            "much light, hides its stripes there. Turn the lamp or the cloth and take it again.",
        )
    ]


def _of_regions(left_out: tuple[LeftOut, ...]) -> list[Caution]:
    found = []
    if any(region.code == "beyond-a-seam" for region in left_out):
        found.append(
            Caution(
                "left-out",
                "The order of the stripes breaks off, as at a seam: the larger part is measured, "
                "what lies beyond is left out, as the picture shows.",
            )
        )
    foreign = sum(region.code == "not-woven" for region in left_out)
    if foreign:
        who = "A part of the cloth does" if foreign == 1 else f"{foreign} parts do"
        found.append(
            Caution(
                "left-out",
                f"{who} not fit the weave (a hole, a seam, a stain, a shadow's "
                "edge): left out, as the picture shows.",
            )
        )
    return found


def _of_colour(
    scale: Scale, systems: tuple[ThreadSystem, ThreadSystem], *, yarns_sure: bool
) -> list[Caution]:
    found = []
    if scale.white is None:
        found.append(
            Caution(
                "colours-as-photographed",
                "No white is known in the photo: colours are as the camera took them.",
            )
        )
    elif max(scale.white) > STRONG_CAST * max(min(scale.white), 1e-6):
        found.append(
            Caution(
                "strong-cast",
                "The light was strongly coloured; colours were corrected by the card, but daylight "
                "shows them better.",
            )
        )
    if not yarns_sure and any(system.striped for system in systems):
        found.append(
            Caution(
                "yarns-unsure",
                "The two thread directions share no two yarns, so the yarns' own colours are a "
                "guess; how strips read is not.",
            )
        )
    return found
