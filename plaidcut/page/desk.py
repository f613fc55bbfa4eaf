"""What every answer of the page needs: the table, the work under way, and how pages are made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import cast
from urllib.parse import quote

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse

from plaidcut.page.asked import own_settings
from plaidcut.page.guard import Door
from plaidcut.page.jobs import Jobs
from plaidcut.page.opened import Opener
from plaidcut.page.pairing import Pairing
from plaidcut.page.table import Cloth, Table
from plaidcut.page.ways_on import advice
from plaidcut.reports.words import short_count
from plaidcut.settings import Settings
from plaidcut.units import Units

UNITS: str = "units"
"""Name of the cookie that holds them."""

PART: str = "x-plaidcut-part"
"""Header of a request that wants a part of a page, to put in place of the old one."""


def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("plaidcut.page"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    )
    environment.globals["advice"] = advice
    return environment


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """One page that is open."""

    table: Table
    door: Door
    jobs: Jobs = field(default_factory=Jobs)
    opener: Opener = field(default_factory=Opener)
    units: Units | None = None
    """Those of the command line."""
    pairing: Pairing | None = None
    """Where phones come in, if they may."""
    templates: Environment = field(default_factory=_environment)


def desk_of(request: Request) -> Desk:
    """The desk that a request came to."""
    return cast(Desk, request.app.state.desk)


def cloth_of(request: Request) -> Cloth:
    """The cloth that a request's address names.

    Raises
    ------
    NotFound
        If there is none.
    """
    return desk_of(request).table.cloth(request.path_params["cloth"])


def units_of(request: Request, settings: Settings) -> Units:
    """The units that she chose on the page, or on the command line, or in her settings."""
    chosen = request.cookies.get(UNITS, "")
    if chosen in set(Units):
        return Units(chosen)
    return desk_of(request).units or settings.units


def render(
    request: Request, template: str, *, status: int = 200, **context: object
) -> HTMLResponse:
    """A page made from a template; ``units`` and whether only a part is wanted are known in it."""
    settings = context.pop("settings", None)
    if not isinstance(settings, Settings):
        settings = own_settings()
    page = desk_of(request).templates.get_template(template)
    text = page.render(
        units=units_of(request, settings).value,
        part=PART in request.headers,
        pairing=desk_of(request).pairing,
        here=quote(request.scope["path"]),
        short=cast(Callable[..., str], short_count),
        **context,
    )
    return HTMLResponse(text, status_code=status)


def go_to(address: str) -> RedirectResponse:
    """The answer to something that was done: look there."""
    return RedirectResponse(address, status_code=303)
