"""Witnessmark: run-in plans and verdicts for freshly built engines."""

import os

# Our matrices are small: threads of the linear algebra library only get in each other's way, and
# the library reads this once, when numpy is first loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
