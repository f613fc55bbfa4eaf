"""``report``: a folder of pictures, page, paper and guide."""

import json

import pytest


def test_everything_is_in_the_folder(plaidcut, tmp_path):
    """Page, paper, guide, documents and pictures; JSON says which."""
    out = tmp_path / "report"
    words = ["report", "--by-hand", "black 2 in, yellow 1/8 in", "--out", out]
    document = plaidcut(*words, "--json").document
    names = {path.name for path in out.iterdir()}
    assert names == {path.rsplit("/", 1)[-1] for path in document["files"]}
    assert names >= {"report.html", "report.pdf", "guide.pdf", "plan.json", "bands.png"}
    assert json.loads((out / "plan.json").read_text())["document"] == "plaidcut-plan"
    again = plaidcut(*words)
    assert again.status == 2
    assert plaidcut(*words, "--force", "--paper", "a4").status == 0


@pytest.mark.parametrize(("words", "status"), [([], 2), (["--out", "there", "--keep", "U9"], 2)])
def test_what_it_can_not_do_is_refused(plaidcut, tmp_path, monkeypatch, words, status):
    """No folder, no such band."""
    monkeypatch.chdir(tmp_path)
    answer = plaidcut("report", "--by-hand", "black 2 in, yellow 1/8 in", *words, "--json")
    assert answer.status == status


def test_a_plan_that_was_kept_is_reported(plaidcut, tmp_path):
    """A plan's document and its cloth give the very plan again; another cloth is refused."""
    cloth, other, plan = (tmp_path / name for name in ("a.json", "b.json", "plan.json"))
    plaidcut("measure", "--by-hand", "black 2 in, yellow 1/8 in", "--out", cloth)
    plaidcut("measure", "--by-hand", "black 1 in, yellow 1/8 in", "--out", other)
    plaidcut("plan", cloth, "--keep", "U2 7", "--piece", "5 x 9 in", "--by-eye", "--out", plan)
    out = tmp_path / "report"
    assert plaidcut("report", plan, "--cloth", cloth, "--out", out).status == 0
    again = json.loads((out / "plan.json").read_text())
    assert again["ways"] == json.loads(plan.read_text())["ways"]
    answer = plaidcut("report", plan, "--cloth", other, "--out", out, "--force", "--json")
    assert answer.error["code"] == "usage"
    assert "another cloth" in answer.error["message"]
