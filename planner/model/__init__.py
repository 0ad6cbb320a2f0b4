"""Frozen dataclasses of the domain: no input or output, no solver."""
