"""How many examples a law gets, where one costs much more or much less than others do."""

from hypothesis import HealthCheck, settings

SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example]


def examples(times: float) -> settings:
    """So many times the examples of the profile in use."""
    return settings(max_examples=round(times * settings.default.max_examples), suppress_health_check=SLOW)
