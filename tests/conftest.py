"""What all tests share."""

import pytest
from hypothesis import HealthCheck, settings

import plaidcut.cli  # noqa: F401 - sums in one thread, as commands have it, before numpy is loaded

settings.register_profile(
    "plaidcut",
    deadline=None,  # no test depends on how fast the machine is
    derandomize=True,  # the same examples everywhere: a failure is never a stranger's
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("plaidcut")


@pytest.fixture(autouse=True, scope="session")
def nothing_of_the_developer(tmp_path_factory):
    """Whoever runs the tests may have settings and a shelf of their own; none are heeded."""
    file = tmp_path_factory.mktemp("settings") / "settings.toml"
    file.touch()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PLAIDCUT_SETTINGS", str(file))
        patch.setenv("PLAIDCUT_SHELF", str(file.with_name("shelf.db")))
        yield
