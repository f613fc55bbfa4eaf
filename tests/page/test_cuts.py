"""The cut table on the page is kept as ``plaidcut cuts`` keeps it."""

import json

import pytest

from plaidcut.cli.app import run
from plaidcut.page.cuts import typed_of
from plaidcut.settings_file import open_settings
from plaidcut.units import Units


@pytest.fixture
def settings(tmp_path, monkeypatch):
    """Her settings: a file of her own, with a line that isn't about cuts."""
    path = tmp_path / "settings.toml"
    path.write_text('# mine\nnarrowest = "2 mm"\n[coverage]\n8 = 5.5\n')
    monkeypatch.setenv("PLAIDCUT_SETTINGS", str(path))
    return path


def by_command(capsys, path):
    """The table as the command answers from those settings."""
    assert run(["cuts", "--json", "--settings", str(path)]) == 0
    return {each["cut"]: each for each in json.loads(capsys.readouterr().out)["cuts"]}


def shown(page, settings):
    """The form as it stands, to send it back with a change."""
    return dict(typed_of(open_settings(settings), Units.IN))


def test_the_table_is_shown(page, settings):
    """A01: #2 to #8 are 32nds of an inch."""
    text = page.get("/cuts").text
    for label, inches in (("#3", "3/32"), ("#5", "5/32"), ("#8", "1/4")):
        assert f'<th scope="row">{label}</th><td>{inches}</td>' in text


def test_what_her_cutter_cuts_is_kept(page, settings, capsys):
    """Widths, strips a pass, her own cut and a cut of her own; what else she has set stays."""
    typed = {"width 8": "6.1 mm", "per_pass 8": "2", "own": "8"}
    more = {"new_name": "torn", "new_width": "1 in"}
    assert page.post("/cuts", data={**shown(page, settings), **typed, **more}).status_code == 303
    cuts = by_command(capsys, settings)
    assert (cuts["8"]["width_mm"], cuts["torn"]["width_mm"]) == (6.1, 25.4)
    kept = open_settings(settings)
    assert kept.cut.name == "8"
    assert kept.cut.strips_per_pass == 2
    assert (kept.narrowest_mm, kept.coverage) == (2.0, {"8": 5.5})
    assert settings.read_text().startswith("# mine")


def test_strips_side_by_side_tell_a_width(page, settings, tmp_path, capsys):
    """Ten strips 61 mm wide together are 6.1 mm each, as with --laid."""
    typed = {"laid_strips": "10", "laid_cut": "8", "laid_width": "61 mm"}
    assert page.post("/cuts", data={**shown(page, settings), **typed}).status_code == 303
    other = tmp_path / "other.toml"
    assert run(["cuts", "--laid", "10 of 8 = 61 mm", "--settings", str(other)]) == 0
    capsys.readouterr()
    assert by_command(capsys, settings) == by_command(capsys, other)


def test_an_empty_field_takes_her_own_away(page, settings):
    """Then the table's width counts again."""
    page.post("/cuts", data={**shown(page, settings), "width 8": "6.1 mm"})
    page.post("/cuts", data={**shown(page, settings), "width 8": ""})
    assert open_settings(settings).own_widths_mm == {}


def test_sent_back_unchanged_nothing_is_rounded(page, settings):
    """A width is shown to the thousandth of an inch, and stays what it was."""
    page.post("/cuts", data={**shown(page, settings), "width 8": "6.123 mm"})
    page.post("/cuts", data=shown(page, settings))
    assert open_settings(settings).own_widths_mm == {"8": 6.123}


def test_the_numbering_is_kept(page, settings):
    """A02 to A05: numbers above #8 as steps have 8.5, as 32nds 11."""
    page.post("/cuts", data={**shown(page, settings), "numbering": "thirty-seconds"})
    names = {cut.name for cut in open_settings(settings).cuts.cuts}
    assert "11" in names
    assert "8.5" not in names


def test_all_of_her_own_is_taken_away(page, settings):
    """The table is as it was, and what isn't about cuts stays."""
    typed = {"width 8": "6.1 mm", "per_pass 6": "2", "own": "6", "numbering": "thirty-seconds"}
    page.post("/cuts", data={**shown(page, settings), **typed})
    assert page.post("/cuts/reset").status_code == 303
    kept = open_settings(settings)
    assert (kept.own_widths_mm, kept.cut, kept.cuts.numbering.value) == ({}, None, "stepped")
    assert all(cut.per_pass is None for cut in kept.cuts.cuts)
    assert kept.coverage == {"8": 5.5}


@pytest.mark.parametrize(
    "wrong",
    [
        {"width 8": "wide"},
        {"width 8": "6"},
        {"width 8": "5 in"},
        {"per_pass 8": "many"},
        {"laid_strips": "2", "laid_cut": "8", "laid_width": "12 mm"},
        {"laid_strips": "10"},
        {"new_name": "torn"},
        {"own": "no such"},
        {"numbering": "roman"},
    ],
)
def test_what_cannot_be_kept_is_said(page, settings, wrong):
    """All that was typed stays in the form, and the settings stay as they are."""
    before = settings.read_text()
    answer = page.post("/cuts", data={**shown(page, settings), "width 5": "4.4 mm", **wrong})
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert 'value="4.4 mm"' in answer.text
    assert settings.read_text() == before
