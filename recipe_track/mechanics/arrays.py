"""Names for the arrays that the mechanics take and give."""

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
SingleArray = npt.NDArray[np.float32]
BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.intp]
