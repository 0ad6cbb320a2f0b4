"""The one error of this room."""

from __future__ import annotations


class UnitError(ValueError):
    """A value that cannot be read as the quantity it should be.

    Parameters
    ----------
    message : str
        What is wrong, with the value found in backticks.
    hint : str
        What to write instead; may be empty.
    """

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
