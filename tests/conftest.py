"""Settings that every test shares."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the program itself does; before numpy is loaded
