"""The open colour library that the tests check against.

It warns that it cannot draw, once, and changes how all numbers print, which is undone.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import warnings

import numpy as np

with warnings.catch_warnings(), np.printoptions():
    warnings.simplefilter("ignore")
    import colour

    # Some parts load on first use and warn again.
    from colour import contrast, difference
    from colour.contrast import contrast_sensitivity_function_Barten1999

__all__ = ["colour", "contrast", "contrast_sensitivity_function_Barten1999", "difference"]
