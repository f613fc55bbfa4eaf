"""The command line: it asks, calls the tasks, and shows."""

import os

# read when NumPy loads: matrices as small as ours are slower on several threads
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
