"""The site that MkDocs builds of the pages."""

import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FETCHING = {"script": "src", "img": "src", "iframe": "src", "link": "href", "source": "src"}
"""What a browser fetches by itself when it opens a page; a link is only followed if she clicks."""
OUTSIDE = re.compile(r"^\s*(https?:)?//", re.IGNORECASE)


class Fetched(HTMLParser):
    """What a page fetches."""

    def __init__(self, text):
        super().__init__()
        self.addresses = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        """Keep the address of what is fetched, but for a page's own name of itself."""
        told = dict(attrs)
        if tag in FETCHING and told.get("rel") != "canonical":
            self.addresses.append(told.get(FETCHING[tag]) or "")


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """The site, built as DEVELOPERS.md says."""
    folder = tmp_path_factory.mktemp("site")
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet"]
    where = ["--config-file", str(ROOT / ".ci" / "mkdocs.yml"), "--site-dir", str(folder)]
    done = subprocess.run([*command, *where], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return folder


def test_the_site_is_whole(site):
    """Built strictly: links and anchors lead somewhere, and every page is there."""
    pages = {path.relative_to(ROOT / "docs").with_suffix("") for path in ROOT.glob("docs/**/*.md")}
    for page in pages:
        place = page.parent if page.name == "index" else page
        assert (site / place / "index.html").is_file(), page
    assert not list(site.rglob("*.py"))


def test_the_site_fetches_nothing_from_outside(site):
    """No script, style, picture, font or frame comes from another computer."""
    for page in site.rglob("*.html"):
        fetched = Fetched(page.read_text(encoding="utf-8")).addresses
        assert fetched, page
        assert [address for address in fetched if OUTSIDE.match(address)] == [], page
    for style in site.rglob("*.css"):
        text = style.read_text(encoding="utf-8")
        asked = re.findall(r"url\(\s*[\"']?([^)\"']+)|@import\s+[\"']([^\"']+)", text)
        assert [one for pair in asked for one in pair if OUTSIDE.match(one)] == [], style


def test_what_is_fetched_is_noticed():
    """The parser above sees a script and a style from outside, and lets a link be."""
    page = '<a href="https://a.example"></a><script src="//b.example/x.js"></script>'
    page += '<link rel="stylesheet" href="https://c.example/y.css">'
    assert len([one for one in Fetched(page).addresses if OUTSIDE.match(one)]) == 2
