"""The command line: parse, call, print, exit code. Nothing else knows a terminal."""
