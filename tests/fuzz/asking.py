"""The page's requests as bytes: a line with method and address, then what the form holds."""

import os
import tempfile
from functools import cache
from pathlib import Path
from urllib.parse import quote_from_bytes

from starlette.testclient import TestClient

from plaidcut.page.app import make_app
from plaidcut.page.table import Table
from tests.page.opening import DOOR, HOST

CLOTH = b"{cloth}"
"""Stands in an address for a cloth on the table."""
FORM = {"content-type": "application/x-www-form-urlencoded"}

SEEDS = [
    b"GET /cloths/{cloth}/cut?wish=whole&bands=U1&cut=8",
    b"GET /cloths/{cloth}/plan?piece=10+in+x+8+in&bands=U2&cut=8.5",
    b"GET /rows?gap=3/4+in&border=24+in+x+36+in&cut=8",
    b"GET /shelf?words=skirt&reads=dark+red&stripe=1/2+in&area=400",
    b"POST /by-hand\nname=Quarry+kilt&up=red+1/2+in,+yellow+1/8+in&across=green+1+in",
    b"POST /cloths/{cloth}/corrections\nbands=U1&kind=width&value=1/2+in",
    b"POST /cloths/{cloth}/pieces\npiece-0-shape=rectangle&piece-0-width=9+in&piece-0-height=9+in",
    b"POST /rug\narea-0-shape=area&area-0-area=360+sq+in&area-0-cut=7",
    b"POST /cuts\nname=8&width=6.1+mm&numbering=stepped",
    b"POST /test-square\ncut=6&hooked=3+x+3+in&strips=11+of+16+in",
]


@cache
def visitor() -> tuple[TestClient, bytes]:
    """Her own browser at a page with a table, settings and a shelf of its own; a typed cloth."""
    folder = Path(tempfile.mkdtemp())
    settings = folder / "settings.toml"
    settings.touch()
    os.environ["PLAIDCUT_SETTINGS"] = str(settings)
    os.environ["PLAIDCUT_SHELF"] = str(folder / "shelf.db")
    app = make_app(Table.at(folder / "table"), DOOR)
    client = TestClient(app, base_url=f"http://{HOST}", follow_redirects=False)
    client.cookies.set(DOOR.cookie, f'"{DOOR.key}"')
    client.headers["origin"] = f"http://{HOST}"
    answer = client.post("/by-hand", data={"name": "Quarry kilt", "up": "red 1/2 in, white 1/8 in"})
    return client, answer.headers["location"].split("/")[2].encode()


def ask(path: Path) -> None:
    """Send a request; whatever it holds, the answer is no fault of the page's own."""
    client, cloth = visitor()
    head, _, body = path.read_bytes().partition(b"\n")
    method, _, address = head.partition(b" ")
    if address.partition(b"?")[0].endswith(b"/forget"):
        return  # the cloth is wanted again
    where = "/" + quote_from_bytes(address.replace(CLOTH, cloth), safe="/?&=+,%").lstrip("/")
    if method == b"POST":
        answer = client.post(where, content=body.replace(CLOTH, cloth), headers=FORM)
    else:
        answer = client.get(where)
    assert answer.status_code < 500 or answer.status_code == 503, answer.text
    assert "Traceback" not in answer.text
