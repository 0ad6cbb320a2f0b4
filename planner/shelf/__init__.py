"""The shelf: the catalog, and the projects that are described in its words."""

from planner.shelf.draft import Draft, draft_of
from planner.shelf.folders import catalog_folder, projects_folder
from planner.shelf.load import list_jobs, load_job, load_vehicle
from planner.shelf.read import load_catalog
from planner.shelf.unread import unread_files

__all__ = [
    "Draft",
    "catalog_folder",
    "draft_of",
    "list_jobs",
    "load_catalog",
    "load_job",
    "load_vehicle",
    "projects_folder",
    "unread_files",
]
