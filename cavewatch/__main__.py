"""`python -m cavewatch` and the `cavewatch` command."""

from cavewatch.cli import main

if __name__ == "__main__":
    main()
