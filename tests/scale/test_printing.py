"""What a printer makes of the check bars."""

import pytest

from plaidcut.errors import UsageError
from plaidcut.scale.printing import printed_ratio


def test_ratio_is_measured_over_drawn():
    """A 100 mm bar that came out 97 mm long was printed at 97 %; the 4 in bar likewise."""
    assert printed_ratio(97.0) == pytest.approx(0.97)
    assert printed_ratio(0.97 * 4 * 25.4, inch_bar=True) == pytest.approx(0.97)


@pytest.mark.parametrize("measured_mm", [0.0, 25.4, 87.0, 111.0, 200.0])
def test_a_misread_bar_is_refused(measured_mm):
    """A length that no printer makes of the bar is a misreading."""
    with pytest.raises(UsageError, match="100 mm check bar"):
        printed_ratio(measured_mm)
