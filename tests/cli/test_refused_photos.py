"""Photos that no honest program measures, through the command line, each with its partner.

The bench measures all of them in full size; here they are small, and one of each kind that
only the cloth decides.
"""

from pathlib import Path

import pytest

from fixtures.render import keep, small
from fixtures.render.suites import SUITES

CACHE = Path(__file__).parents[2] / ".cache" / "tests"
SCENES = {scene.name: scene for scene in SUITES["reject"](77)}


def photo(part):
    """The small photo of the one scene whose name ends so; drawn once, kept between runs."""
    (scene,) = (scene for name, scene in SCENES.items() if name.endswith(part))
    path, _ = keep(small(scene), CACHE)
    return path


@pytest.mark.parametrize(
    ("part", "code", "hint"),
    [
        ("folded", "not-flat", "Smooth the cloth out"),
        ("blurred", "too-blurred", "tap the cloth"),
    ],
)
def test_a_photo_that_can_t_be_measured_is_refused(plaidcut, part, code, hint):
    """The cloth, and not the scale, is what such a photo lacks; the way on is named."""
    answer = plaidcut("measure", photo(part), "--json")
    assert answer.status == 4
    assert answer.error["code"] == code
    assert hint in answer.error["hint"]
    assert answer.err == ""


def test_its_partner_just_inside_the_limit_is_measured(plaidcut):
    """Swells of the cloth are no reason to refuse it."""
    answer = plaidcut("measure", photo("folded-within"), "--json")
    assert answer.status == 0
    assert len(answer.document["up"]["bands"]) > 1
