"""Reports: what they say on the terminal and in CSV."""

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.console import Console

from plaidcut.cutting.cuts import Cut, cut_table
from plaidcut.cutting.yields import yields_of
from plaidcut.errors import Caution
from plaidcut.reports.content import report_content
from plaidcut.reports.table_csv import COLUMNS, csv_text
from plaidcut.reports.terminal import print_report
from plaidcut.reports.words import kept_count, run_label, short_count
from plaidcut.stripes.measurement import Direction, Washed
from plaidcut.units import Units
from tests.setts import cloth, system

CUTS = cut_table().cuts
EIGHT = next(cut for cut in CUTS if cut.name == "8")


def content_of(measured, *, units=Units.IN, own=(EIGHT,), **how):
    """The content of a cloth's report in every cut."""
    return report_content(measured, yields_of(measured, CUTS, **how), units=units, own=own)


def printed(content, *, width=80, colours=False):
    """A report as the terminal shows it."""
    file = io.StringIO()
    colour_system = "truecolor" if colours else None
    console = Console(file=file, width=width, color_system=colour_system, force_terminal=colours)
    print_report(content, console)
    return file.getvalue()


def test_her_own_cut_comes_first():
    """Before any band is listed, the report says what her cut gives."""
    text = printed(content_of(cloth("K50 Y4 R25.4", "B30 W3")))
    assert "Your cut, #8 (1/4 in)" in text
    assert (
        text.index("Your cut") < text.index("Bands running") < text.index("Strips from each band")
    )
    assert "count on 3, maybe 4" in text


@pytest.mark.parametrize(
    ("units", "shown"), [(Units.IN, "0.157 ± 0.004 in"), (Units.MM, "4.00 ± 0.10 mm")]
)
def test_widths_are_in_her_unit_with_a_fraction_of_an_inch(units, shown):
    """A width has its ±, twice the standard uncertainty, and the nearest 32nd of an inch."""
    text = printed(content_of(cloth("K50 Y4"), units=units))
    row = next(
        line for line in text.splitlines() if line.startswith("yellow (U2)  ") and "±" in line
    )
    assert shown in row
    assert " 5/32 " in row


def test_every_band_is_named_with_its_colour():
    """A band is never a bare id, and a run names all its colours."""
    measured = cloth("K50 W2 R5 W2")
    assert run_label(["U3"], measured.up) == "red (U3)"
    assert run_label(["U2", "U3", "U4"], measured.up) == "white, red, white (U2-U4)"


def test_twins_of_a_mirrored_sett_share_a_row_of_counts():
    """Bands that give the same are counted once, under both their ids."""
    text = printed(content_of(cloth(system("K30 B12 Y2 R20", mirrored=True))))
    assert "blue (U2, U6)" in text
    assert "yellow (U3, U5)" in text


def test_it_says_that_counts_cannot_be_added():
    """Whoever reads counts also reads that they are each band's alone."""
    assert "can't be added" in printed(content_of(cloth("K50 Y4")))


def test_where_she_would_cut_blades_are_spoken_of():
    """With yields come the cautions on blades and dust; without them there is no need."""
    measured = cloth("K50 Y4")
    assert "razors" in printed(content_of(measured))
    assert "Vacuum" in printed(content_of(measured))
    assert report_content(measured).safety == ()


def test_cautions_of_the_measurement_are_printed():
    """What is doubtful about the numbers stands above them."""
    measured = cloth("K50 Y4")
    doubtful = type(measured)(
        photo=None,
        scale=None,
        cloth=measured.cloth,
        up=measured.up,
        across=measured.across,
        cautions=(Caution("tilted", "The camera was tilted 14 degrees."),),
    )
    text = printed(content_of(doubtful))
    assert "Caution: The camera was tilted 14 degrees." in text


@pytest.mark.parametrize(
    ("washed", "words"),
    [
        (Washed.YES, "after washing"),
        (Washed.NO, "Wash and dry"),
        (Washed.UNKNOWN, "Not said whether"),
    ],
)
def test_every_report_says_whether_the_cloth_was_washed(washed, words):
    """Cloth shrinks: counts before washing are no counts after it."""
    measured = cloth("K50 Y4")
    measured = replace(measured, cloth=replace(measured.cloth, washed=washed))
    assert words in " ".join(content_of(measured).about)


def test_lengthwise_is_spoken_of_only_when_the_warp_is_known():
    """Without --warp nobody can know which way is lengthwise."""
    measured = cloth("K50 Y4", "B30 W3")
    assert "wise" not in printed(content_of(measured))
    known = replace(measured, warp=Direction.ACROSS)
    text = " ".join(printed(content_of(known)).split())
    assert "cut up and down, crosswise in the cloth" in text
    assert "cut from side to side, lengthwise in the cloth" in text


def test_plain_cloth_is_a_report_too():
    """Cloth without stripes is told in a sentence, with no table of nothing."""
    text = printed(content_of(cloth("B300", "B300")))
    assert "plain cloth" in text
    assert "No stripes this way" in text
    assert "Strips from each band" not in text


def test_a_band_at_the_edge_of_the_photo_has_no_exact_width():
    """What the photo cuts off is said to be wider than what is seen."""
    text = printed(content_of(cloth(system("R9 Y2 K20 W3", repeats=False))))
    row = next(line for line in text.splitlines() if line.startswith("red (U1)"))
    assert "over 0.354 in" in row


def test_a_measurement_alone_names_what_is_bold():
    """Without yields the report still says which stripes stand out."""
    text = " ".join(printed(report_content(cloth("K50 W2 R5 W2"))).split())
    assert "Bold: white, red, white (U2-U4); " in text
    assert "Strips from each band" not in text


def test_a_stripe_that_no_cut_keeps_is_torn_by_hand():
    """A 14 mm stripe needs 15.6 mm: told rounded up, so that it is never too narrow."""
    measured = cloth("K90 R14", edge_std_mm=0.0)
    for units, width in ((Units.IN, "5/8 in"), (Units.MM, "16 mm")):
        text = " ".join(printed(content_of(measured, units=units)).split())
        assert f"No cut keeps it whole: cut or tear it by hand, at least {width} wide." in text


def test_a_broad_bar_gives_strips_of_nothing_but_stripe():
    """A 1 in bar on her #8: split, and three strips all of its colour."""
    text = printed(content_of(cloth("K90 R25.4", edge_std_mm=0.0)))
    assert "split; count on 3 strips of nothing but stripe" in text


def test_narrow_columns_keep_the_meaning():
    """Counts and states in few letters: 3-4, 2t, -."""
    measured = cloth("K90 R25.4 K9 Y4", edge_std_mm=0.0)
    found = yields_of(measured, CUTS, keep=[("U4",)])
    counts = {strip.cut.name: short_count(strip) for strip in found.bands[1].strips}
    kept = {each.cut.name: kept_count(each) for each in found.stripes[0].cuts}
    assert counts["8"] == "3-4"
    assert (kept["4"], kept["6"], kept["8"]) == ("-", "1t", "1")


def test_the_section_is_told():
    """The section that was asked for has its width and its counts."""
    measured = cloth("K4 Y3 K10 R3 K5.4 B60", edge_std_mm=0.0)
    content = content_of(measured, section=("U1", "U2", "U3", "U4", "U5"))
    assert "Section from black (U1) to black (U5), 1 in wide" in printed(content)


def test_swatches_only_where_there_are_colours():
    """A terminal with colours shows each band's own; one without has words alone."""
    content = content_of(cloth("K50 Y4"))
    assert "38;2;226;185;59" in printed(content, colours=True)
    assert "█" not in printed(content)


setts = st.lists(
    st.tuples(st.sampled_from("KWRBGYNT"), st.floats(1, 80)), min_size=1, max_size=20
).map(lambda items: " ".join(f"{letter}{width}" for letter, width in items))


@settings(max_examples=25)
@given(setts, setts, st.sampled_from(Units), st.integers(60, 120))
def test_no_line_is_wider_than_the_terminal(up, across, units, width):
    """Whatever the cloth, everything fits: no line is cut or runs over."""
    text = printed(content_of(cloth(up, across), units=units), width=width)
    assert all(len(line) <= width for line in text.splitlines())
    assert "…" not in text


def test_csv_has_a_line_for_every_band_and_cut():
    """The spreadsheet holds all counts, at full precision, and bands without counts once."""
    measured = cloth(system("R9 Y2.2 K20.7 W3", repeats=False), "B30 W3")
    found = yields_of(measured, CUTS)
    rows = list(csv.DictReader(io.StringIO(csv_text(report_content(measured, found)))))
    assert list(rows[0]) == list(COLUMNS)
    assert len(rows) == 1 + 2 * len(CUTS) + 1 + 2 * len(CUTS)
    black = next(row for row in rows if row["band"] == "U3" and row["cut"] == "8")
    strip = next(each for each in found.bands[2].strips if each.cut == EIGHT)
    assert float(black["width_mm"]) == 20.7
    assert [int(black[name]) for name in ("count", "low", "high", "sure")] == [
        strip.count,
        strip.low,
        strip.high,
        strip.sure,
    ]
    assert next(row for row in rows if row["band"] == "U1")["count"] == ""


def test_a_cut_of_her_own_width_is_called_by_it():
    """A width given outright needs no number."""
    own = Cut(name="5 mm", width_mm=5.0, numbered=False)
    measured = cloth("K50 Y4")
    content = report_content(measured, yields_of(measured, [*CUTS, own]), own=[own])
    assert "Your cut, 5 mm" in printed(content)
