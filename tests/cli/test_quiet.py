"""Standard output holds the answer alone, whatever compiled libraries print."""

import ctypes
import os

import pytest

from plaidcut.cli.quiet import quiet_output


def test_what_libraries_print_is_kept_off(capfd):
    """By the system's call or by C's own functions, which hold it back; and only inside."""
    with quiet_output():
        os.write(1, b"from a library")
        ctypes.CDLL(None).puts(b"held back")
    assert capfd.readouterr().out == ""
    os.write(1, b"an answer")
    assert capfd.readouterr().out == "an answer"


def test_it_is_as_before_after_a_fault(capfd):
    """A fault inside leaves standard output in its place."""
    with pytest.raises(ZeroDivisionError), quiet_output():
        assert 1 // 0
    os.write(1, b"an answer")
    assert capfd.readouterr().out == "an answer"
