"""Places on a photo as people type them."""

import pytest

from plaidcut.errors import UsageError
from plaidcut.typed_px import parse_numbers_px


def test_coordinates_are_read():
    """X,Y are pixels, whole or not, and may lie outside the picture."""
    assert parse_numbers_px("120,-34.5", 2, example="120,340") == (120.0, -34.5)


@pytest.mark.parametrize("text", ["", "120", "120,340,1", "a,b", "nan,1", "1,inf"])
def test_what_are_no_coordinates_is_refused_with_an_example(text):
    """The error shows what coordinates look like."""
    with pytest.raises(UsageError, match="pixel coordinates") as caught:
        parse_numbers_px(text, 2, example="120,340")
    assert "120,340" in caught.value.hint
