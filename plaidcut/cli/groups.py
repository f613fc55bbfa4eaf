"""Options that several commands share, typed one by one and handed over as one record."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from dataclasses import MISSING, Field, fields, is_dataclass
from functools import wraps
from typing import Any, TypeGuard, TypeVar, get_type_hints

R = TypeVar("R")


def takes_groups(command: Callable[..., R]) -> Callable[..., R]:
    """Let a command have parameters that are dataclasses of options.

    Typer sees every field of such a dataclass as an option of its own, with the field's
    ``Annotated`` type and default; the command gets the dataclass, filled.

    Parameters
    ----------
    command
        A function whose groups are keyword-only parameters without defaults. A group may
        hold groups; no two may have an option of the same name.
    """
    hints = get_type_hints(command, include_extras=True)
    groups = {name: hint for name, hint in hints.items() if _is_group(hint)}
    parameters: list[inspect.Parameter] = []
    for parameter in inspect.signature(command).parameters.values():
        if parameter.name in groups:
            parameters += _options_of(groups[parameter.name])
        else:
            parameters.append(parameter.replace(annotation=hints[parameter.name]))

    @wraps(command)
    def spread(**typed: Any) -> R:  # noqa: ANN401 -- whatever the options' types are
        filled = {name: _filled(group, typed) for name, group in groups.items()}
        return command(**typed, **filled)

    del spread.__wrapped__  # typer would look at its annotations
    spread.__annotations__ = {one.name: one.annotation for one in parameters}
    spread.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    return spread


def _is_group(hint: object) -> TypeGuard[type[Any]]:
    """Whether a parameter's type is a group of options."""
    return isinstance(hint, type) and is_dataclass(hint)


def _options_of(group: type[Any]) -> Iterator[inspect.Parameter]:
    """The options of a group as keyword-only parameters."""
    hints = get_type_hints(group, include_extras=True)
    for option in fields(group):
        hint = hints[option.name]
        if _is_group(hint):
            yield from _options_of(hint)
        else:
            yield inspect.Parameter(
                option.name,
                inspect.Parameter.KEYWORD_ONLY,
                annotation=hint,
                default=_default(option),
            )


def _default(option: Field[Any]) -> object:
    """What an option is when it isn't typed."""
    return inspect.Parameter.empty if option.default is MISSING else option.default


def _filled(group: type[Any], typed: dict[str, Any]) -> object:
    """A group with the options that were typed, which are taken out of them."""
    hints = get_type_hints(group)
    return group(
        **{
            option.name: _filled(hints[option.name], typed)
            if _is_group(hints[option.name])
            else typed.pop(option.name)
            for option in fields(group)
        }
    )
