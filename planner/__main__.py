"""`python -m planner` is the `knockon` command."""

from planner.cli.main import main

if __name__ == "__main__":
    main()
