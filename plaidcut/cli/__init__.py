"""The command line: it asks, calls the tasks, and shows."""

import os
from typing import Final

THREADS_OF_SUMS: Final = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
"""What numpy's and scipy's linear algebra reads when it is loaded, which is after this. Sums that
are shared out among threads are rounded in another order, so the last digits of a document would
hang on the number of cores; and matrices as small as ours are slower on several."""

os.environ.update(dict.fromkeys(THREADS_OF_SUMS, "1"))
