"""From one plain-text plan to a welded roll cage that fits: the whole job of a cage fabricator.

Every entry (command, worker, server, test) passes here before numpy is loaded, so here its linear algebra is
held to one thread: our matrices are small, and on a busy machine a second thread costs a survey's solve 150
times its processor time. A limit set once numpy is loaded does nothing.
"""

import os

os.environ.update(
    OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", MKL_NUM_THREADS="1", VECLIB_MAXIMUM_THREADS="1"
)

__version__ = "0.1.0"
