"""The pages of the reference hold what the code does."""

import re
import runpy
from pathlib import Path

import pytest

from plaidcut.settings import Settings, parse_settings

DOCS = Path(__file__).parents[2] / "docs"
GENERATE = runpy.run_path(str(DOCS / "generate.py"))


@pytest.mark.parametrize("page", ["commands", "errors"])
def test_generated_pages_are_current(page):
    """After a change to commands or errors, ``python docs/generate.py`` was run."""
    written = (DOCS / "reference" / f"{page}.md").read_text(encoding="utf-8")
    assert written == GENERATE[f"{page}_page"]()


def test_the_settings_page_shows_a_file_that_changes_nothing():
    """The example in the documentation is a valid file, and holds the usual values."""
    page = (DOCS / "reference" / "settings.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```toml\n(.*?)```", page, flags=re.DOTALL)
    assert parse_settings(example, file_name="settings.toml") == Settings()


def test_every_link_between_pages_leads_somewhere():
    """A relative link names a file that exists."""
    pages = [*DOCS.rglob("*.md"), *(DOCS.parent.glob("*.md"))]
    for page in pages:
        for target in re.findall(r"\]\(([^)#]+)", page.read_text(encoding="utf-8")):
            if "://" not in target:
                assert (page.parent / target).exists(), f"{page.name} links to {target}"
