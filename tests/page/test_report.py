"""The step of the report: made by a process of its own, then taken away."""

import json
import time

import pytest

from plaidcut.page.table import REPORT_STATE, Phase


@pytest.fixture
def made(page, by_hand, table):
    """The address of a cloth whose report was made, and the cloth."""
    page.get(f"{by_hand}/plan", params={"asked": "yes", "cut": "7", "bands": "U2"})
    asked = {"paper": "a4", "made": "for the <hearth> rug"}
    assert page.post(f"{by_hand}/report", data=asked).status_code == 303
    (cloth,) = table.cloths()
    while cloth.state_in(REPORT_STATE).phase in (Phase.WAITING, Phase.WORKING):
        assert page.get(f"{by_hand}/report").status_code == 200
        time.sleep(0.2)
    state = page.get(f"{by_hand}/report/state").json()
    assert state["phase"] == "done", cloth.state_in(REPORT_STATE).message
    return by_hand, cloth


def test_a_report_is_made_and_taken_away(page, made, tmp_path, command):
    """Every file is the command's, byte for byte, and comes as a file to be kept."""
    address, cloth = made
    out = tmp_path / "report"
    words = ["report", cloth.path("measurement.json"), "--out", out, "--cut", "7", "--keep", "U2"]
    command(*words, "--paper", "a4", "--made", "for the <hearth> rug")
    text = page.get(f"{address}/report").text
    for path in out.iterdir():
        assert f"/report/files/{path.name}" in text
        answer = page.get(f"{address}/report/files/{path.name}")
        assert answer.content == path.read_bytes(), path.name
        kept = answer.headers["content-disposition"]
        assert kept == f'attachment; filename="quarry-kilt-{path.name}"'
    assert {"report.html", "report.pdf", "guide.pdf", "plan.csv", "yield.csv"} <= {
        path.name for path in out.iterdir()
    }


def test_a_report_of_before_says_so(page, made, table):
    """Once anything that it is made of changes, the page says that it is of before."""
    address, cloth = made
    old = "You changed something since it was made."
    assert old not in page.get(f"{address}/report").text
    page.get(f"{address}/plan", params={"asked": "yes", "cut": "7", "bands": "U1"})
    assert old in page.get(f"{address}/report").text
    assert cloth.state.phase is Phase.DONE  # the cloth itself stayed measured


def test_what_can_not_be_reported_is_refused(page, by_hand, table):
    """A paper that there isn't, a plan that can't be read, and files that aren't there."""
    assert page.post(f"{by_hand}/report", data={"paper": "vellum"}).status_code == 400
    page.get(f"{by_hand}/plan", params={"asked": "yes", "piece": "9"})
    assert page.post(f"{by_hand}/report", data={"paper": "a4"}).status_code == 400
    (cloth,) = table.cloths()
    cloth.keep("made-state.json", json.dumps({}))
    for name in ("report.html", "state.json", "..%2fmeasurement.json"):
        assert page.get(f"{by_hand}/report/files/{name}").status_code == 404
