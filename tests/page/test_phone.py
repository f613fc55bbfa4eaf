"""A phone on the same network: it may send photos once it has typed the word, and nothing else."""

import http.client
import io
import re
import socket
import threading
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from starlette.testclient import TestClient

from plaidcut.errors import CannotWrite, TooSoon
from plaidcut.page import table as names
from plaidcut.page.app import make_app
from plaidcut.page.jobs import Jobs
from plaidcut.page.lan import check_private
from plaidcut.page.pairing import DIGITS, LONGEST_WAIT_S, MOST_PHONES, Pairing
from plaidcut.page.phone import ByAddress, make_phone_app
from plaidcut.page.server import Phones, door_of, listen, pairing_of, server_of
from plaidcut.page.table import Phase, State, Table
from tests.page.opening import DOOR, HOST

LAN = "192.168.1.5:8740"
OWN = HOST.split(":", maxsplit=1)[0]


class Clock:
    """A clock that goes when it is told to."""

    def __init__(self):
        self.s = 1000.0

    def __call__(self):
        """The time in seconds."""
        return self.s


class Noted(Jobs):
    """Notes what is to be measured, in place of measuring pictures that are no cloth."""

    def start(self, cloth, what):
        """Leave it waiting."""
        cloth.set_state(State(phase=Phase.WAITING, message=what))


@pytest.fixture
def clock():
    """The pairing's clock."""
    return Clock()


@pytest.fixture
def pairing(clock):
    """The phones' entrance."""
    return Pairing(host=LAN, now=clock)


@pytest.fixture
def both(table, pairing):
    """Her page and the phones', as they are served together."""
    own = make_app(table, DOOR, jobs=Noted(), pairing=pairing)
    return ByAddress(own, make_phone_app(own.state.desk, pairing), host=OWN)


@pytest.fixture
def phone(both):
    """A phone in the network."""
    with TestClient(both, base_url=f"http://{LAN}", follow_redirects=False) as client:
        client.headers["origin"] = f"http://{LAN}"
        yield client


@pytest.fixture
def hers(both):
    """Her own page while phones may come in."""
    with TestClient(both, base_url=f"http://{HOST}", follow_redirects=False) as client:
        client.cookies.set(DOOR.cookie, f'"{DOOR.key}"')
        client.headers["origin"] = f"http://{HOST}"
        yield client


def photo(colour="red"):
    """A picture that is no cloth."""
    file = io.BytesIO()
    Image.new("RGB", (60, 40), colour).save(file, "JPEG")
    return file.getvalue()


def paired(phone, pairing):
    """The phone once it has typed the word."""
    assert phone.post("/word", data={"word": pairing.shown}).status_code == 303
    return phone


def addresses():
    """Every address of her page."""
    app = make_app(Table(Path()), DOOR)
    return sorted({route.path for route in app.routes if route.path not in ("/", "/photos")})


def test_a_phone_is_asked_for_the_word(phone, pairing):
    """Before it has typed it, it sees the page that asks, and how that looks."""
    page = phone.get("/")
    assert page.status_code == 200
    assert 'name="word"' in page.text
    assert pairing.word not in page.text
    assert pairing.shown not in page.text
    assert phone.get("/page.css").headers["content-type"].startswith("text/css")


def test_nothing_else_is_answered_without_it(phone, table):
    """Not her page, nor any file of it, nor a photo."""
    for address in addresses():
        for method in ("GET", "POST"):
            assert phone.request(method, address).status_code == 403, (method, address)
    sent = phone.post("/photos", files={"photo": ("a.jpg", photo())})
    assert sent.status_code in (403, 413)
    assert not table.cloths()


def test_the_word_lets_a_phone_send_photos(phone, hers, pairing, table):
    """They arrive on the table, the phone is told so, and her page shows them."""
    paired(phone, pairing)
    page = phone.get("/").text
    assert 'capture="environment"' in page
    files = [("photo", ("IMG_1.jpg", photo())), ("photo", ("../IMG_2.jpg", photo("blue")))]
    assert phone.post("/photos", files=files).status_code == 303
    told = phone.get("/").text
    assert "IMG_1.jpg" in told
    assert "IMG_2.jpg" in told
    assert {cloth.name for cloth in table.cloths()} == {"IMG_1.jpg", "IMG_2.jpg"}
    assert {cloth.path(names.PHOTO).read_bytes() for cloth in table.cloths()} == {
        photo(),
        photo("blue"),
    }
    for address in ("/", "/phones"):
        assert "IMG_1.jpg" in hers.get(address).text


def test_a_phone_that_was_let_in_sees_nothing_of_hers(phone, pairing, by_name):
    """Its cookie opens no cloth, no shelf, no settings, at none of her page's addresses."""
    paired(phone, pairing)
    for address in (*addresses(), f"/cloths/{by_name}", "/shelf", "/units", "/cuts", "/phones"):
        for method in ("GET", "POST", "PUT", "DELETE"):
            assert phone.request(method, address).status_code in (404, 405), (method, address)


@pytest.fixture
def by_name(table):
    """Id of a cloth that lies on the table."""
    return table.new({"name": "Harbour skirt"}).id


def test_the_key_opens_nothing_from_the_network(phone):
    """Not in the address, not as a cookie, not under her page's own name."""
    assert 'name="word"' in phone.get("/", params={"key": DOOR.key}).text
    phone.cookies.set(DOOR.cookie, f'"{DOOR.key}"')
    for address in ("/shelf", "/by-hand", "/static/page.css"):
        assert phone.get(address).status_code == 403
    for host in (HOST, "localhost:8740"):
        assert phone.get("/", headers={"host": host}).status_code == 421


def test_the_phones_cookie_opens_nothing_on_her_page(phone, stranger, pairing):
    """What a phone was given is no key."""
    paired(phone, pairing)
    for name, value in phone.cookies.items():
        stranger.cookies.set(name, value)
        stranger.cookies.set(DOOR.cookie, value)
    assert stranger.get("/").status_code == 403


@pytest.mark.parametrize("host", ["evil.example", "192.168.1.5", "192.168.1.5:80", "", HOST])
def test_another_host_is_refused(phone, pairing, host):
    """A name that somebody made lead here opens nothing, with the word or without."""
    assert phone.get("/", headers={"host": host}).status_code == 421
    paired(phone, pairing)
    assert phone.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("origin", ["null", "http://evil.example", f"http://{HOST}", ""])
def test_another_page_can_do_nothing(phone, pairing, table, origin):
    """A page that the phone has open can neither try words nor send photos."""
    headers = {"origin": origin}
    assert phone.post("/word", data={"word": pairing.word}, headers=headers).status_code == 403
    paired(phone, pairing)
    sent = phone.post("/photos", files={"photo": ("a.jpg", photo())}, headers=headers)
    assert sent.status_code == 403
    assert not table.cloths()


@pytest.mark.parametrize("wrong", ["", "0", "é", "1234", "x" * 40])
def test_a_wrong_word_lets_nobody_in(phone, pairing, wrong):
    """It is said, and her page counts it."""
    answer = phone.post("/word", data={"word": wrong})
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers
    assert pairing.wrong == 1
    assert phone.post("/photos").status_code in (403, 411)


def test_too_many_tries_wait_and_the_wait_grows(phone, hers, pairing, clock):
    """After a few wrong words even the right one must wait, each time longer, up to an hour."""
    for _ in range(5):
        assert phone.post("/word", data={"word": "0"}).status_code == 403
    waits = []
    for _ in range(6):
        before = clock.s
        while phone.post("/word", data={"word": "0"}).status_code == 429:
            assert phone.post("/word", data={"word": pairing.word}).status_code == 429
            clock.s += 15.0
        waits.append(clock.s - before)
    assert waits == sorted(waits)
    assert waits[0] == 30.0
    assert waits[-1] == LONGEST_WAIT_S
    assert "Wrong digits were typed" in hers.get("/phones").text
    clock.s += LONGEST_WAIT_S
    paired(phone, pairing)


def test_a_body_without_the_word_is_kept_short(phone):
    """Nobody fills the memory before the word."""
    assert phone.post("/word", content=b"word=" + b"1" * 5000).status_code == 413


def test_her_page_shows_the_word_and_can_change_it(phone, hers, pairing, table):
    """With a new one, phones that were let in are sent away."""
    text = hers.get("/phones").text
    assert pairing.shown in text
    assert f"http://{LAN}/" in text
    assert "unencrypted" in text
    assert "/phones" in hers.get("/").text
    paired(phone, pairing)
    old = pairing.word
    assert hers.post("/phones/word").status_code == 303
    assert pairing.word != old
    assert 'name="word"' in phone.get("/").text
    assert phone.post("/photos", files={"photo": ("a.jpg", photo())}).status_code in (403, 413)
    assert not table.cloths()


def test_what_is_no_photo_is_said(phone, pairing, table):
    """A form without one changes nothing."""
    paired(phone, pairing)
    assert phone.post("/photos").status_code == 400
    empty = phone.post("/photos", files={"photo": ("a.jpg", b"")})
    assert empty.status_code == 400
    assert "No photo was chosen" in empty.text
    assert not table.cloths()


def test_the_phones_page_has_the_guards_headers(phone):
    """Nothing from elsewhere is loaded or framed, and no cookie can be read by script."""
    answer = phone.get("/")
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert answer.headers["x-frame-options"] == "DENY"


def test_a_phones_cookie_is_its_own(phone, pairing):
    """It is hidden from scripts, sent to this page only, and no other phone's."""
    cookies = [
        phone.post("/word", data={"word": pairing.word}).headers["set-cookie"].lower()
        for _ in range(2)
    ]
    assert all("httponly" in each and "samesite=strict" in each for each in cookies)
    assert cookies[0] != cookies[1]
    assert len(pairing.arrived) == 2


def test_only_so_many_phones_are_let_in(pairing):
    """A new word sends them away and makes room."""
    for _ in range(MOST_PHONES):
        assert pairing.let_in(pairing.word)
    with pytest.raises(TooSoon):
        pairing.let_in(pairing.word)
    pairing.renew()
    assert pairing.let_in(pairing.word)


@given(st.text(max_size=30))
def test_only_the_word_is_the_word(typed):
    """Blanks and marks between its digits don't count; other digits do."""
    pairing = Pairing(host=LAN, now=Clock())
    digits = "".join(each for each in typed if each in "0123456789")
    assert (pairing.let_in(typed) is not None) == (digits == pairing.word)


def test_words_are_made_anew():
    """Eight digits, another for each start; all digits come."""
    words = {Pairing(host=LAN).word for _ in range(200)}
    assert len(words) > 190
    assert all(re.fullmatch(rf"[0-9]{{{DIGITS}}}", word) for word in words)
    assert set("".join(words)) == set("0123456789")


def test_without_lan_there_is_no_phones_page(page):
    """The page says nothing of phones unless they may come in."""
    assert page.get("/phones").status_code == 404
    assert "/phones" not in page.get("/").text


@pytest.mark.parametrize("host", ["8.8.8.8", "100.64.0.1", "127.0.0.1", "0.0.0.0"])  # noqa: S104
def test_an_address_of_the_whole_world_is_refused(host):
    """RFC 1918 and its like are a network at home; others aren't, and nothing listens there."""
    with pytest.raises(CannotWrite):
        check_private(host)


@pytest.mark.parametrize("host", ["192.168.1.5", "10.0.0.2", "172.16.9.9", "169.254.3.4"])
def test_a_network_at_home_is_taken(host):
    """RFC 1918, and RFC 3927 where there is no router."""
    check_private(host)


def _other_loopback():
    """Another address of this computer that a socket can listen on, or None."""
    try:
        with socket.socket() as trying:
            trying.bind(("127.0.0.2", 0))
    except OSError:
        return None
    return "127.0.0.2"


@pytest.mark.skipif(_other_loopback() is None, reason="one loopback address only")
def test_each_address_has_its_page(tmp_path):
    """Served by real sockets: whatever comes to the second gets the phones' page, key or not."""
    own = listen(0)
    port = own.getsockname()[1]
    door = door_of(port)
    listening = listen(0, "127.0.0.2")
    phones = Phones(listening, pairing_of(listening))
    server = server_of(door, tmp_path / "table", phones=phones)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [own, listening]})
    thread.start()
    try:
        while not server.started:
            time.sleep(0.02)

        def asked(where, name):
            there = http.client.HTTPConnection(*where.getsockname(), timeout=20)
            there.request("GET", f"/?key={door.key}", headers={"host": name})
            answer = there.getresponse()
            text = answer.read().decode()
            there.close()
            return answer.status, text

        hers = f"127.0.0.1:{port}"
        assert asked(own, hers)[0] == 303
        assert asked(listening, hers)[0] == 421
        status, text = asked(listening, phones.pairing.host)
        assert status == 200
        assert 'name="word"' in text
        assert asked(own, phones.pairing.host)[0] == 421
    finally:
        server.should_exit = True
        thread.join()
        own.close()
        listening.close()
