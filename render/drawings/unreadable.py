"""The one error of the readers of drawings."""


class DrawingError(ValueError):
    """Why a drawing cannot be read, as a sentence's end behind the name of its file."""
