"""What all tests share."""

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "plaidcut",
    deadline=None,  # no test depends on how fast the machine is
    derandomize=True,  # the same examples everywhere: a failure is never a stranger's
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("plaidcut")


@pytest.fixture(autouse=True, scope="session")
def no_settings_of_the_developer(tmp_path_factory):
    """Whoever runs the tests may have settings of their own; none are heeded."""
    file = tmp_path_factory.mktemp("settings") / "settings.toml"
    file.touch()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PLAIDCUT_SETTINGS", str(file))
        yield
