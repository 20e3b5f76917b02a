"""A short profile is always on; `HYPOTHESIS_PROFILE=long` searches harder."""

import os

from hypothesis import settings

settings.register_profile("short", max_examples=25, deadline=None)
settings.register_profile("long", max_examples=1000, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "short"))
