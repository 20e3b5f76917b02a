"""Settings and the example repository, which every test shares."""

import os
from pathlib import Path

import pytest
from hypothesis import settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the program itself does; before numpy is loaded
settings.register_profile("short", max_examples=20, deadline=None)  # always on
settings.register_profile("long", max_examples=1000, deadline=None)  # HYPOTHESIS_PROFILE=long searches harder
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "short"))


@pytest.fixture(scope="session")
def example() -> Path:
    """The example repository; only for looking."""
    from tests.example import example_to_look_at

    return example_to_look_at()
