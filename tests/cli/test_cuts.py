"""``cuts``: shown, changed, measured, and used everywhere."""

import jsonschema
import pytest

from plaidcut.documents.schemas import schema_of


def table(plaidcut, *words):
    """The cuts of an answer, by name."""
    document = plaidcut("cuts", *words, "--json").document
    jsonschema.validate(document, schema_of("plaidcut-cuts"))
    return {cut["cut"]: cut for cut in document["cuts"]}


@pytest.fixture
def mine(tmp_path):
    """Settings with a comment that is hers."""
    file = tmp_path / "mine.toml"
    file.write_text('# my cutter\nunits = "mm"\n')
    return file


def test_the_table_is_shown(plaidcut, mine):
    """A01, A02: #8 is 1/4 in, #8.5 5/16 in; A06: three strips of #8 a pass."""
    cuts = table(plaidcut, "--settings", mine)
    assert cuts["8"]["width_mm"] == pytest.approx(6.35)
    assert cuts["8.5"]["width_mm"] == pytest.approx(7.9375)
    assert cuts["8"]["strips_per_pass"] == 3
    assert not any(cut["own"] for cut in cuts.values())
    words = plaidcut("cuts", "--settings", mine).out
    assert "Numbers above #8 are steps" in words
    assert "1/4" in words


def test_ten_strips_side_by_side_tell_their_width(plaidcut, mine):
    """61 mm over ten is 6.1 mm; it is kept, used by other commands, and taken away again."""
    cuts = table(plaidcut, "--laid", "10 of 8 = 61 mm", "--settings", mine)
    assert cuts["8"]["width_mm"] == pytest.approx(6.1)
    assert cuts["8"]["own"]
    assert mine.read_text().startswith('# my cutter\nunits = "mm"\n')
    bands = ["--by-hand", "red 61 mm, navy 20 mm", "--wander", "0 mm", "--settings", mine, "--json"]
    (red, _) = plaidcut("yield", *bands).document["bands"][:2]
    (eight,) = (each for each in red["strips"] if each["cut"] == "8")
    assert eight["count"] == 10
    back = table(plaidcut, "--forget", "#8", "--settings", mine)
    assert back["8"]["width_mm"] == pytest.approx(6.35)


def test_cuts_can_be_added_and_numbers_chosen(plaidcut, mine):
    """A cut of her own; A04: #10 is 5/16 in by thirty-seconds; strips a pass as her head has it."""
    words = ["--set", "torn = 3/4 in", "--per-pass", "torn = 1", "--numbering", "thirty-seconds"]
    cuts = table(plaidcut, *words, "--settings", mine)
    assert cuts["torn"]["width_mm"] == pytest.approx(19.05)
    assert cuts["torn"]["strips_per_pass"] == 1
    assert cuts["10"]["width_mm"] == pytest.approx(7.9375)


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--set", "8"], "usage"),
        (["--set", "8 = 6.1"], "bad-length"),
        (["--set", "8 = 9 in"], "bad-length"),
        (["--laid", "2 of 8 = 12 mm"], "usage"),
        (["--laid", "ten of 8 = 61 mm"], "usage"),
        (["--per-pass", "8 = 0"], "usage"),
        (["--per-pass", "8 = many"], "usage"),
    ],
)
def test_what_can_not_be_changes_nothing(plaidcut, mine, words, code):
    """A refusal leaves the settings as they were."""
    before = mine.read_text()
    answer = plaidcut("cuts", *words, "--settings", mine, "--json")
    assert answer.status == 2
    assert answer.error["code"] == code
    assert mine.read_text() == before
