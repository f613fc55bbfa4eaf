"""The page as tests open it: its answers in this process, or in a real browser."""

import json
import os

import pytest
from starlette.testclient import TestClient

from plaidcut.cli.app import run
from plaidcut.page.app import make_app
from plaidcut.page.table import Table
from tests.page.opening import DOOR, HOST, chromium_path, missing, open_page


@pytest.fixture(autouse=True)
def nothing_shared(tmp_path, monkeypatch):
    """Each test has settings and a shelf of its own, as the page changes both."""
    settings = tmp_path / "own" / "settings.toml"
    settings.parent.mkdir()
    settings.touch()
    monkeypatch.setenv("PLAIDCUT_SETTINGS", str(settings))
    monkeypatch.setenv("PLAIDCUT_SHELF", str(settings.with_name("shelf.db")))


@pytest.fixture
def table(tmp_path):
    """An empty table."""
    return Table.at(tmp_path / "table")


@pytest.fixture
def stranger(table):
    """Somebody who has the address, but not the key."""
    app = make_app(table, DOOR)
    with TestClient(app, base_url=f"http://{HOST}", follow_redirects=False) as client:
        yield client


@pytest.fixture
def page(stranger):
    """The page as her own browser asks it."""
    stranger.cookies.set(DOOR.cookie, f'"{DOOR.key}"')
    stranger.headers["origin"] = f"http://{HOST}"
    return stranger


@pytest.fixture
def by_hand(page):
    """The address of a cloth whose widths were typed."""
    bands = {"up": "red 1/2 in, yellow 1/8 in, navy 1 in", "across": "green 1 in, white 1/4 in"}
    answer = page.post("/by-hand", data={"name": "Quarry kilt", **bands})
    assert answer.status_code == 303
    return answer.headers["location"].removesuffix("/cut")


@pytest.fixture
def command(capsys):
    """The document of a command."""

    def ask(*words):
        status = run([*(str(word) for word in words), "--json"])
        told = capsys.readouterr().out
        assert status == 0, told
        return json.loads(told)

    return ask


@pytest.fixture(scope="session")
def own_page(tmp_path_factory, nothing_of_the_developer):
    """One page for the browser tests of a process."""
    opened = open_page(tmp_path_factory.mktemp("page") / "table")
    yield opened
    opened.process.terminate()
    opened.process.wait()
    opened.process.stdout.close()


@pytest.fixture(scope="session")
def chromium():
    """A browser without a window."""
    if lacking := missing():
        if os.environ.get("CI"):
            pytest.fail(lacking)
        pytest.skip(lacking)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def browser_page(chromium, own_page):
    """A tab with the first page; at the end nothing went wrong in it, and nothing left it."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900})
    context.set_default_timeout(90_000)
    faults, strangers = [], []
    tab = context.new_page()
    tab.on("pageerror", lambda error: faults.append(str(error)))
    tab.on(
        "request",
        lambda asked: (
            None
            if asked.url.startswith((own_page.root, "data:", "blob:"))
            else strangers.append(asked.url)
        ),
    )
    tab.goto(own_page.address)
    yield tab
    context.close()
    assert not faults
    assert not strangers
