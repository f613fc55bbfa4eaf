"""The examples in docstrings run, and show what they say."""

import doctest
import importlib
import pkgutil

import pytest

import plaidcut

MODULES = [
    module.name
    for module in pkgutil.walk_packages(plaidcut.__path__, "plaidcut.")
    if not module.name.endswith("__main__")
]


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings_are_true(name):
    """Whoever copies an example gets the answer that stands below it."""
    failed, _ = doctest.testmod(importlib.import_module(name))
    assert failed == 0
