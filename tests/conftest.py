"""What all tests share."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "plaidcut",
    deadline=None,  # no test depends on how fast the machine is
    derandomize=True,  # the same examples everywhere: a failure is never a stranger's
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("plaidcut")
