"""What a form sent, as words."""

from __future__ import annotations

from typing import Final

from starlette.requests import Request

MOST_FIELDS: Final = 120
"""Of one form without files (chosen here)."""

MOST_LETTERS: Final = 100_000
"""Bytes of one field."""


async def typed_in(request: Request) -> dict[str, str]:
    """A form's fields by name, each as typed; of several of a name, the last."""
    form = await request.form(max_files=0, max_fields=MOST_FIELDS, max_part_size=MOST_LETTERS)
    return {name: text for name, text in form.multi_items() if isinstance(text, str)}
