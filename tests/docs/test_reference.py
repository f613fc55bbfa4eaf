"""The pages of the reference hold what the code does."""

import re
import runpy
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

from plaidcut.documents.schemas import MODELS
from plaidcut.settings import Settings, parse_settings
from plaidcut.shelf import archive
from tests.docs.pages import GENERATED

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
GENERATE = runpy.run_path(str(DOCS / "generate.py"))
assert set(GENERATE["PAGES"]) == GENERATED


@pytest.mark.parametrize("page", sorted(GENERATED))
def test_generated_pages_are_current(page):
    """After a change to the code that a page is drawn from, ``python docs/generate.py`` was run."""
    written = (DOCS / page).read_text(encoding="utf-8")
    assert written == GENERATE["PAGES"][page]()


def test_the_settings_page_shows_a_file_that_changes_nothing():
    """The example in the documentation is a valid file, and holds the usual values."""
    page = (DOCS / "reference" / "settings.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```toml\n(.*?)```", page, flags=re.DOTALL)
    assert parse_settings(example, file_name="settings.toml") == Settings()


def test_every_link_between_pages_leads_somewhere():
    """A relative link names a file that exists."""
    pages = [*DOCS.rglob("*.md"), *(ROOT.glob("*.md"))]
    for page in pages:
        for target in re.findall(r"\]\(([^)#]+)", page.read_text(encoding="utf-8")):
            if "://" not in target:
                assert (page.parent / target).exists(), f"{page.name} links to {target}"


@pytest.mark.parametrize("name", ["MOST_CLOTHS", "MOST_RATIO"])
def test_the_limits_of_archives_are_those_of_the_code(name):
    """The page names the figures that the code refuses by."""
    page = (DOCS / "reference" / "shelf.md").read_text("utf-8")
    assert f"{getattr(archive, name):,}" in page


def test_every_kind_of_document_has_its_row():
    """The page of documents leads to the schema of each kind that the code writes."""
    page = (DOCS / "reference" / "documents.md").read_text("utf-8")
    assert set(re.findall(r"\(schemas/([\w-]+)\.json\)", page)) == set(MODELS)


DEVELOPERS = [
    ROOT / "DEVELOPERS.md",
    ROOT / "fixtures" / "README.md",
    ROOT / "tests" / "bench" / "README.md",
    *DOCS.rglob("*.md"),
]
MODULES = sorted(
    {
        (module, tuple(re.findall(r"--[a-z-]+", rest)))
        for page in DEVELOPERS
        for module, rest in re.findall(
            r"python -m ((?:tests|fixtures|plaidcut)\.[\w.]+)([^`#\n]*)",
            page.read_text(encoding="utf-8"),
        )
    }
)


@pytest.mark.parametrize(("module", "options"), MODULES)
def test_every_module_that_developers_are_told_to_run_has_those_options(module, options):
    """It is there, and its help names each option that a page gives it."""
    assert find_spec(module) is not None
    if options:
        command = [sys.executable, "-m", module, "--help"]
        helped = subprocess.run(command, capture_output=True, text=True, cwd=ROOT)
        assert helped.returncode == 0, helped.stderr
        assert set(options) <= set(re.findall(r"--[a-z-]+", helped.stdout))


def test_the_page_on_installing_says_what_the_readme_says():
    """The README's command, which CI runs in a fresh clone, is the one to type."""
    (command,) = re.findall(
        r"^python3 -m venv .*plaidcut demo$", (ROOT / "README.md").read_text("utf-8"), re.MULTILINE
    )
    assert command in (DOCS / "install.md").read_text("utf-8")
