"""Files: YAML text to plain data with places, and plain data to checked values."""

from planner.files.faults import Faults
from planner.files.place import Document, KeyPath, Plain
from planner.files.read import parse_text, read_document
from planner.files.schema_job import JobFile
from planner.files.schema_text import json_schema
from planner.files.schema_vehicle import VehicleFile
from planner.files.splice import Append, Change, Drop, Edit, Put, SpliceError, spliced
from planner.files.validate import Parts, validate_parts
from planner.files.values import Entry, refuse
from planner.files.write import write_whole

__all__ = [
    "Append",
    "Change",
    "Document",
    "Drop",
    "Edit",
    "Entry",
    "Faults",
    "JobFile",
    "KeyPath",
    "Parts",
    "Plain",
    "Put",
    "SpliceError",
    "VehicleFile",
    "json_schema",
    "parse_text",
    "read_document",
    "refuse",
    "spliced",
    "validate_parts",
    "write_whole",
]
