"""The JSON schema by which editors complete and check a vehicle or job file."""

from __future__ import annotations

from typing import Any, Literal

from planner.files.schema_job import JobFile
from planner.files.schema_vehicle import VehicleFile

Which = Literal["vehicle", "job"]

_DRAFT = "https://json-schema.org/draft/2020-12/schema"


def json_schema(which: Which) -> dict[str, Any]:
    """Write out the schema of one kind of file.

    Parameters
    ----------
    which : {"vehicle", "job"}

    Returns
    -------
    dict
        JSON schema, draft 2020-12, with the words of each key as hover text.
    """
    model = VehicleFile if which == "vehicle" else JobFile
    schema = model.model_json_schema(by_alias=True, ref_template="#/$defs/{model}")
    plain: dict[str, Any] = _without_null(schema)
    return {"$schema": _DRAFT, **plain}


def _without_null(node: Any) -> Any:  # noqa: ANN401  a JSON schema is any JSON
    """Take out "or null": a key that is not said is left out, not written as null (only `make` may be null)."""
    if isinstance(node, list):
        return [_without_null(item) for item in node]
    if not isinstance(node, dict):
        return node
    kept = {key: value for key, value in node.items() if not (key == "default" and value is None)}
    choices = kept.get("anyOf")
    if isinstance(choices, list) and {"type": "null"} in choices and kept.get("title") != "Make":
        rest = [choice for choice in choices if choice != {"type": "null"}]
        if len(rest) == 1:
            del kept["anyOf"]
            # The words of the key say more than those of its type.
            kept = {**rest[0], **kept}
    return {key: _without_null(value) for key, value in kept.items()}
