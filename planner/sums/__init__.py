"""Engineering sums, one topic a file: plain functions on floats, units in the names, sources in the docstrings."""
