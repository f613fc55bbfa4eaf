"""What is taken away from the page: always to be kept as a file, never shown as a page."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from starlette.responses import Response

KINDS: Final = {
    "json": "application/json",
    "csv": "text/csv; charset=utf-8",
    "toml": "application/toml",
    "html": "text/html; charset=utf-8",
    "pdf": "application/pdf",
    "png": "image/png",
    "zip": "application/zip",
}
"""Media types, by a name's ending."""

LONGEST: Final = 40
"""Letters of a cloth's name that its files are called by (chosen here)."""


def plain_name(name: str) -> str:
    """A name of letters, digits and dashes that any computer takes for a file's.

    Examples
    --------
    >>> plain_name("Harbour skirt (invented).jpg")
    'harbour-skirt-invented'
    """
    stem = re.sub(r"\.\w{1,5}$", "", name)
    letters = unicodedata.normalize("NFKD", stem).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", letters)[:LONGEST].strip("-") or "cloth"


def download(content: str | bytes, name: str) -> Response:
    """A file to be kept; ``name`` is made of plain names, dashes and an ending."""
    return Response(
        content,
        media_type=KINDS[name.rpartition(".")[2]],
        headers={"content-disposition": f'attachment; filename="{name}"'},
    )
