"""Findings: what is wrong (or worth a word) with the user's files, collected as values and never raised."""

from planner.finding.finding import Finding, Place, Severity, error_at, has_errors, sort_findings

__all__ = ["Finding", "Place", "Severity", "error_at", "has_errors", "sort_findings"]
