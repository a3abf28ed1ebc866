"""One BLAS thread for all tests; must come before NumPy is loaded."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
