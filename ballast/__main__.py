"""`python -m ballast` is the same as `ballast`."""

from ballast.cli import main

if __name__ == "__main__":
    main()
