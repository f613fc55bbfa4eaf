"""The step of the plan: the command's plan, as she chose it."""

import json

import pytest

FORM = {
    "asked": "yes",
    "wish": "whole",
    "bands": "U2",
    "cut": "8",
    "piece": "10 in x 8 in",
    "left": "U3 + 1/4 in",
    "rest": "left",
    "by_eye": "yes",
    "least_tear": "3/4 in",
    "order": "whole, tears",
    "only_more": "X1",
}
AS_COMMAND = (
    *("--cut", "8", "--keep", "U2", "--only", "X1", "--piece", "10 in x 8 in"),
    *("--at", "U3 + 1/4 in", "--rest", "left", "--by-eye", "--least-tear", "3/4 in"),
    *("--order", "whole, tears"),
)


@pytest.fixture
def planned(page, by_hand):
    """The address of a cloth for which a plan was made."""
    assert page.get(f"{by_hand}/plan", params=FORM).status_code == 200
    return by_hand


def test_the_plan_is_that_of_the_command(page, planned, table, tmp_path, command):
    """What she chose gives the same document, table and drawing by the command."""
    (cloth,) = table.cloths()
    csv, png = tmp_path / "plan.csv", tmp_path / "plan.png"
    words = ["plan", cloth.path("measurement.json"), *AS_COMMAND, "--csv", csv, "--picture", png]
    document = command(*words)
    assert document == json.loads(page.get(f"{planned}/plan/plan.json").text)
    assert csv.read_bytes() == page.get(f"{planned}/plan/plan.csv").content
    assert png.read_bytes() == page.get(f"{planned}/plan/plan.png").content
    assert png.read_bytes() == page.get(f"{planned}/plan/drawing.png").content


def test_a_plan_is_taken_away_as_a_file(page, planned):
    """Downloads are kept under a name of the cloth's, and never shown as a page."""
    kept = page.get(f"{planned}/plan/plan.json").headers["content-disposition"]
    assert kept == 'attachment; filename="quarry-kilt-plan.json"'
    assert page.get(f"{planned}/plan/plan.exe").status_code == 404


def test_the_step_can_be_left_and_taken_again(page, planned):
    """What she chose is there when she comes back; what she unticked isn't."""
    text = page.get(f"{planned}/plan").text
    assert 'value="10 in x 8 in"' in text
    assert 'name="by_eye" value="yes" checked' in text
    page.get(f"{planned}/plan", params={**FORM, "by_eye": ""})
    assert 'name="by_eye" value="yes" checked' not in page.get(f"{planned}/plan").text


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"piece": "10 x 8"}, "has no unit"),
        ({"bands": "U9"}, "U9"),
        ({"left": "nowhere"}, "nowhere"),
        ({"least_trim": "wide"}, "wide"),
        ({"order": "haste"}, "is no aim"),
        ({"rest": "burn"}, "is none of the choices"),
        ({"seen": "yes"}, "photo"),
        ({"piece": "1 mm x 1 mm"}, ""),
    ],
)
def test_what_can_not_be_planned_is_said(page, by_hand, more, words):
    """The reason stands where the answer would, and what she typed is still in the form."""
    answer = page.get(f"{by_hand}/plan", params={**FORM, **more})
    assert answer.status_code == 400
    assert words in answer.text
    assert 'value="whole, tears"' in answer.text or "order" in more


def test_a_wish_not_yet_named_is_none(page, by_hand, table, command):
    """Before she chose a stripe the plan is the command's own, for her cut."""
    assert page.get(f"{by_hand}/plan").status_code == 200
    (cloth,) = table.cloths()
    document = command("plan", cloth.path("measurement.json"))
    assert document == json.loads(page.get(f"{by_hand}/plan/plan.json").text)
