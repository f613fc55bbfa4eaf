"""A cloth whose widths were typed: the way through the page without a photo."""

import json

import pytest

from plaidcut import tasks
from plaidcut.documents.measurement import from_document


def test_widths_that_were_typed_are_counted(page, by_hand):
    """The answer is that of the tasks: T15's inch of navy gives #8 count on 3, maybe 4."""
    page.get(f"{by_hand}/cut", params={"wish": "colour", "bands": "U3", "cut": "8"})
    answer = page.get(f"{by_hand}/cut")
    assert "count on 3, maybe 4" in answer.text
    assert "With #8, each navy (U3) gives" in answer.text


def test_what_was_chosen_is_kept(page, by_hand):
    """She may leave the page and come back: stripe, wish and cut are as she left them."""
    page.get(f"{by_hand}/cut", params={"wish": "whole", "bands": "U2", "cut": "5"})
    again = page.get(f"{by_hand}/cut").text
    assert "Your cut, #5" in again
    assert 'value="U2"' in again


def test_a_change_asks_for_the_answer_alone(page, by_hand):
    """A change of cut is answered with a part of the page, the same words in it."""
    asked = {"wish": "whole", "bands": "U2", "cut": "5"}
    part = page.get(f"{by_hand}/cut", params=asked, headers={"x-plaidcut-part": "answer"}).text
    whole = page.get(f"{by_hand}/cut", params=asked).text
    assert "<html" not in part
    assert part.strip() in whole


@pytest.mark.parametrize(
    "asked",
    [
        {"cut": "99 in"},
        {"cut": "no cut"},
        {"bands": "U9"},
        {"bands": "U1-X1"},
        {"wish": "everything"},
        {"bands": "<script>"},
    ],
)
def test_a_choice_that_there_isnt_is_told(page, by_hand, asked):
    """A wrong choice is an answer in words, and what was chosen before stays."""
    page.get(f"{by_hand}/cut", params={"cut": "5"})
    answer = page.get(f"{by_hand}/cut", params=asked)
    assert answer.status_code == 400
    assert "That didn't work" in answer.text
    assert "<script>" not in answer.text
    assert "Your cut, #5" in page.get(f"{by_hand}/cut").text


def test_what_is_wrong_with_a_width_leaves_all_that_was_typed(page, table):
    """A bare number is refused, and nothing has to be typed again."""
    answer = page.post("/by-hand", data={"name": "Kilt", "up": "red 5, black 1 in"})
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert 'value="red 5, black 1 in"' in answer.text
    assert not table.cloths()


def test_names_are_shown_and_never_obeyed(page):
    """Markup in a name is text."""
    typed = {"name": "<img src=x onerror=alert(1)>", "up": "red 1 in, black 1 in"}
    address = page.post("/by-hand", data=typed).headers["location"]
    for shown in (page.get(address).text, page.get("/").text):
        assert "<img src=x" not in shown
        assert "&lt;img src=x" in shown


def test_bands_are_put_right_and_taken_back(page, table, by_hand):
    """A correction counts at once, is kept apart from what was measured, and can be undone."""
    typed = {"bands": "U2", "kind": "width", "value": "1/4 in"}
    assert page.post(f"{by_hand}/corrections", data=typed).status_code == 303
    assert "<td>1/4</td>" in page.get(by_hand).text
    (cloth,) = table.cloths()
    measured = json.loads(cloth.path("measurement.json").read_text())
    assert from_document(measured).up.bands[1].width_mm == pytest.approx(25.4 / 8)
    kept = json.loads(cloth.path("corrections.json").read_text())
    assert kept["document"] == "plaidcut-corrections"
    assert len(kept["corrections"]) == 1
    assert page.post(f"{by_hand}/corrections/undo").status_code == 303
    assert "width of U2" not in page.get(by_hand).text
    assert page.post(f"{by_hand}/corrections/undo").status_code == 400


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ({"kind": "rename", "bands": "U1", "value": "madder"}, "madder (U1)"),
        ({"kind": "merge", "bands": "U1-U2"}, "merge U1, U2"),
        ({"kind": "split", "bands": "U3", "value": "1/2 in"}, "split U3"),
        ({"kind": "colour", "bands": "U3", "value": "#102030"}, "colour of U3"),
        ({"kind": "start", "bands": "U2"}, "start at U2"),
    ],
)
def test_every_kind_of_correction_can_be_made(page, by_hand, typed, shown):
    """Rename, merge, split, colour and start all work from the page's one form."""
    assert page.post(f"{by_hand}/corrections", data=typed).status_code == 303
    assert shown in page.get(by_hand).text


@pytest.mark.parametrize(
    "typed",
    [
        {"bands": "U2", "kind": "width", "value": "5"},
        {"bands": "U2", "kind": "width", "value": ""},
        {"bands": "U1-U2", "kind": "width", "value": "5 mm"},
        {"bands": "", "kind": "merge"},
        {"bands": "U7", "kind": "rename", "value": "madder"},
        {"bands": "U2", "kind": "fold", "value": "x"},
    ],
)
def test_a_correction_that_cant_be_made_changes_nothing(page, table, by_hand, typed):
    """What is wrong is told, and the cloth stays as it is."""
    assert page.post(f"{by_hand}/corrections", data=typed).status_code == 400
    (cloth,) = table.cloths()
    assert not cloth.has("corrections.json")


def test_a_cloth_is_taken_off_with_all_that_was_made_of_it(page, table, by_hand):
    """Forgetting leaves nothing behind."""
    (cloth,) = table.cloths()
    assert page.post(f"{by_hand}/forget").status_code == 303
    assert not cloth.folder.exists()
    assert page.get(by_hand).status_code == 404


def test_lengths_follow_the_units_that_were_chosen(page, by_hand):
    """Inches or millimetres, at the click of a button, and from then on."""
    assert "0.500 ± " in page.get(by_hand).text
    page.post("/units", data={"units": "mm", "back": by_hand})
    shown = page.get(by_hand).text
    assert "12.7 ± " in shown
    assert "0.500 ± " not in shown


def test_the_page_counts_as_the_tasks_do(page, by_hand):
    """Every count of every cut on the page is the one that the public API gives."""
    cloth = tasks.measure_by_hand(
        "red 1/2 in, yellow 1/8 in, navy 1 in", "green 1 in, white 1/4 in"
    )
    counted = tasks.yields(cloth)
    shown = page.get(f"{by_hand}/cut", params={"wish": "mix"}).text
    for each in counted.bands:
        row = shown.split(f"({each.band.id})</th>")[1].split("</tr>")[0]
        cells = [cell.split(">")[-1] for cell in row.split("</td>")[1:-1]]
        expected = [
            f"{strip.sure}-{strip.count}" if strip.count > strip.sure else str(strip.sure)
            for strip in each.strips
        ]
        assert cells == expected


def test_no_stripes_are_told_in_the_page_s_words(page):
    """What is asked for is a field of the form, not an option of the command line."""
    answer = page.post("/by-hand", data={"up": " ", "across": "red 1 in"})
    assert answer.status_code == 400
    assert "No band running up and down was typed" in answer.text
    assert "--" not in answer.text.split("<main")[1].replace("<!--", "")


def test_one_strip_is_one(page, by_hand):
    """Where a stripe comes once a repeat, that is one strip."""
    answer = page.get(f"{by_hand}/cut", params={"wish": "whole", "bands": "U2", "cut": "8"}).text
    assert "that is 1 strip with it whole from each repeat" in answer
