"""Names for the arrays that pass between the nester's stages."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.signedinteger[Any]]
"""One axis of whole numbers."""
Table = NDArray[np.signedinteger[Any]]
"""Two axes of whole numbers."""
Floats = NDArray[np.float64]
