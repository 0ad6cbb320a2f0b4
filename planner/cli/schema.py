"""`knockon schema`: the file formats as JSON Schema, for editors."""

from __future__ import annotations

import json
from enum import StrEnum
from typing import Annotated

import typer


class Which(StrEnum):
    """The two files a project is made of."""

    VEHICLE = "vehicle"
    JOB = "job"


def schema(which: Annotated[Which, typer.Argument(help="Which file: vehicle or job.")] = Which.VEHICLE) -> None:
    """Print the JSON Schema of vehicle.yaml or of a job file."""
    from planner.files import json_schema

    typer.echo(json.dumps(json_schema(which.value), indent=1, ensure_ascii=False))
