"""colour-science, which warns on import of parts that it lacks here (plotting)."""

import warnings

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

__all__ = ["colour"]
