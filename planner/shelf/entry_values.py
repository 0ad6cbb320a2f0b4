"""Values that entries of the catalog have in common."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.files.values import Text

Words = Annotated[str, Field(max_length=400)]
"""Text that may be empty."""
Texts = list[Text]
LengthMm = Annotated[float, Field(ge=0, le=10_000)]
"""No part of a road vehicle is longer than ten metres."""
WorkMin = Annotated[int, Field(ge=0, le=2_400)]
"""A single job of more than forty hours is several."""
