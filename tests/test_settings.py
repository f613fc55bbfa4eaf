"""The settings file."""

import pytest

from plaidcut.cutting.cuts import Numbering, cut_table, parse_cut
from plaidcut.errors import FileTrouble
from plaidcut.settings import Settings, parse_settings
from plaidcut.units import Units


def read(text):
    return parse_settings(text, file_name="settings.toml")


def test_an_empty_file_changes_nothing():
    """Without a word in it the file means the same as no file."""
    assert read("") == Settings()


def test_every_field_is_heeded():
    """Each field says what it sets, lengths with their units."""
    settings = read(
        """
        units = "mm"
        cut = 8.5
        narrowest = "0.6 mm"
        wander = "0 mm"
        max_megapixels = 50

        [cuts]
        numbering = "stepped"

        [cuts.widths]
        9 = "9 mm"
        torn = "3/4 in"
        """
    )
    cuts = cut_table(Numbering.STEPPED, {"9": 9.0, "torn": 19.05})
    assert settings == Settings(
        units=Units.MM,
        cut=parse_cut("8.5", cuts),
        narrowest_mm=0.6,
        wander_mm=0.0,
        max_megapixels=50.0,
        cuts=cuts,
    )


def test_the_numbering_decides_what_a_cut_is():
    """Her #10 is 5/16 in where she says that numbers are 32nds."""
    settings = read('cut = "#10"\n[cuts]\nnumbering = "thirty-seconds"')
    assert settings.cut is not None
    assert settings.cut.width_mm == 7.9375


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ('units = "cm"', ['settings.toml, line 1, units: it must be "in" or "mm", not \'cm\'']),
        ("narrowest = 1", ['narrowest: "1" has no unit']),
        ('wander = "-1 mm"', ["wander: "]),
        ("max_megapixels = true", ["max_megapixels: it must be a number above 0"]),
        ("max_megapixels = inf", ["max_megapixels: "]),
        ('cut = "11"', ["cut: There is no cut #11"]),
        ('cuts = "stepped"', ["cuts: it must be a table"]),
        ("[cuts.per_pass]\n8 = 2.5", ["line 2, cuts.per_pass.8: ", "whole number"]),
        ('[cuts.widths]\n9 = "9 in"', ["cuts.widths.9: ", "no width for a strip"]),
        ('[cuts]\nnumbering = "old"', ["cuts.numbering: "]),
        ('units = "in"\nwander = \n', ["not valid TOML", "line 2"]),
    ],
)
def test_bad_content_is_named_exactly(text, names):
    """The error names the file, the field or the line, and what stands there."""
    with pytest.raises(FileTrouble) as caught:
        read(text)
    for name in ["settings.toml", *names]:
        assert name in caught.value.message


@pytest.mark.parametrize(
    ("text", "hint"), [("unit = 'in'", 'Did you mean "units"?'), ("x = 1", "It knows units, cut")]
)
def test_an_unknown_field_is_no_silent_slip(text, hint):
    """A misspelt field would else be passed over, and nobody would know."""
    with pytest.raises(FileTrouble, match="does not exist") as caught:
        read(text)
    assert hint in caught.value.hint
