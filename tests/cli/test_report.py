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
