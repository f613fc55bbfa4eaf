"""Who may ask the page, and how much."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.page import guard
from plaidcut.page.guard import HEADERS
from plaidcut.page.start import shown_name
from tests.page.opening import DOOR, HOST


def test_without_the_key_nothing_is_answered(stranger):
    """Another program on the computer that finds the port gets nothing."""
    for address in ("/", "/by-hand", "/static/page.css", "/cloths/0123456789abcdef"):
        answer = stranger.get(address)
        assert answer.status_code == 403
        assert "key" in answer.text


def test_the_key_in_the_address_becomes_a_cookie(stranger):
    """The address that was printed opens the page; then the key is out of sight, and works."""
    answer = stranger.get("/", params={"key": DOOR.key})
    assert answer.status_code == 303
    assert answer.headers["location"] == "/"
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert stranger.get("/").status_code == 200


@pytest.mark.parametrize("key", ["", "wrong", DOOR.key[:-1], DOOR.key + "x", "é"])
def test_a_wrong_key_opens_nothing(stranger, key):
    """A key that is nearly right is wrong."""
    assert stranger.get("/", params={"key": key}).status_code == 403


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "localhost:8740", "", f"{HOST}.evil"]
)
def test_a_request_that_names_another_host_is_refused(page, host):
    """A name of a stranger's that leads to this computer doesn't open the page."""
    assert page.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("origin", [None, "null", "http://evil.example", f"https://{HOST}"])
def test_a_post_from_another_page_is_refused(page, table, origin):
    """A page in another tab can't make this one do anything."""
    del page.headers["origin"]
    headers = {} if origin is None else {"origin": origin}
    assert page.post("/demo", headers=headers).status_code == 403
    assert not table.cloths()


def test_what_a_stranger_page_embeds_is_refused(page):
    """Pictures and scripts of this page can't be drawn into another one."""
    for site in ("cross-site", "same-site"):
        assert page.get("/", headers={"sec-fetch-site": site}).status_code == 403


def test_every_answer_forbids_what_comes_from_elsewhere(page):
    """Pages, files, refusals and errors all carry the policy; none allows inline script."""
    for address in ("/", "/static/page.css", "/nowhere", "/cloths/0123456789abcdef"):
        answer = page.get(address)
        for name, value in HEADERS.items():
            assert answer.headers[name] == value
    assert "unsafe" not in HEADERS["content-security-policy"]


def test_a_body_that_is_too_large_is_refused_by_what_it_says(page):
    """A photo of gigabytes is refused before it is read."""
    headers = {"content-length": str(guard.MOST_BYTES + 1)}
    assert page.post("/photos", headers=headers).status_code == 413


def test_a_body_that_doesnt_say_how_large_it_is_is_cut_off(page, table, monkeypatch):
    """One that is sent in pieces is refused when it has gone too far, and nothing of it stays."""
    monkeypatch.setattr(guard, "MOST_BYTES", 10_000)
    boundary = b"--x\r\nContent-Disposition: form-data; name=photo; filename=a.jpg\r\n\r\n"

    def pieces():
        yield boundary
        for _ in range(100):
            yield b"0" * 1000

    headers = {"content-type": "multipart/form-data; boundary=x"}
    assert page.post("/photos", content=pieces(), headers=headers).status_code == 413
    assert not table.cloths()


@pytest.mark.parametrize(
    "path",
    [
        "/cloths/../../etc/passwd",
        "/cloths/%2e%2e%2f%2e%2e",
        "/cloths/0123456789abcdeg",
        "/static/../guard.py",
        "/static/%2e%2e/guard.py",
        "/cloths/0123456789abcdef/pictures/..%2fasked.json",
    ],
)
def test_no_address_leads_out_of_the_page(page, path):
    """Whatever an address holds, it names no file but the page's own."""
    answer = page.get(path)
    assert answer.status_code == 404
    assert "import" not in answer.text


@given(name=st.text())
def test_the_name_of_a_photo_is_shown_in_one_short_line(name):
    """Whatever a browser calls a file, the name shown has no folder and nothing unseen."""
    shown = shown_name(name)
    assert shown
    assert len(shown) <= 80
    assert shown.isprintable()
    assert "/" not in shown
    assert "\\" not in shown


def test_units_go_back_to_this_page_only(page):
    """The button for the units can't be made to lead elsewhere."""
    for back in ("//evil.example", "http://evil.example", "evil"):
        answer = page.post("/units", data={"units": "mm", "back": back})
        assert answer.headers["location"] == "/"
