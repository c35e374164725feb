"""`python -m scionary` is the command `scionary`."""

from scionary.cli import main

if __name__ == "__main__":
    main()
