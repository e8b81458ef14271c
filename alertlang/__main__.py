"""`python -m alertlang`."""

from alertlang.cli import main

if __name__ == "__main__":
    main()
