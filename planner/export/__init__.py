"""A plan in other forms: JSON, CSV, Markdown, calendar events. One file each, one interface."""

from planner.export import csv_out, ics_out, json_out, md_out
from planner.export.exporter import Exporter
from planner.export.json_out import plan_json

EXPORTERS: dict[str, Exporter] = {
    each.name: each
    for each in (
        Exporter(name="ics", suffix=".ics", what="work sessions for a calendar", write=ics_out.write),
        Exporter(name="csv", suffix=".csv", what="steps for a spreadsheet", write=csv_out.write),
        Exporter(name="md", suffix=".md", what="a plan to read and tick off", write=md_out.write),
        Exporter(name="json", suffix=".json", what="everything, for another program", write=json_out.write),
    )
}

__all__ = ["EXPORTERS", "Exporter", "plan_json"]
