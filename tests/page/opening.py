"""Opening the page, in this process or as she does."""

import json
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from plaidcut.page.guard import Door

HOST = "127.0.0.1:8740"
DOOR = Door(key="the key of this start", hosts=frozenset({HOST}))
CHROMIUM = ("chromium", "chromium-browser", "google-chrome")


@dataclass
class OwnPage:
    """A page that was opened as she opens it."""

    address: str
    folder: Path
    process: subprocess.Popen

    @property
    def root(self):
        """The address without the key."""
        return self.address.split("/?")[0]


def open_page(folder, *words):
    """Run ``plaidcut page`` and read where it is."""
    command = [sys.executable, "-m", "plaidcut", "page", "--no-open", "--json"]
    process = subprocess.Popen(
        [*command, "--folder", str(folder), *words], stdout=subprocess.PIPE, text=True
    )
    text = ""
    while not text.endswith("}\n"):
        line = process.stdout.readline()
        assert line, f"the page didn't open: {text}"
        text += line
    return OwnPage(json.loads(text)["address"], folder, process)


def chromium_path():
    """Where the browser is; None where there is none."""
    return next(filter(None, map(shutil.which, CHROMIUM)), None)


def missing():
    """What of a browser is missing, in one line; nothing where all is there."""
    try:
        import playwright.sync_api  # noqa: F401
    except ImportError:
        return "playwright isn't installed: pip install -e '.[dev]'"
    if chromium_path() is None:
        return "no Chromium is installed: on Debian, apt-get install chromium"
    return ""
