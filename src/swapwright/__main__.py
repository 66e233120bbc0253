"""Run the command line as ``python -m swapwright``."""

from swapwright.cli import main

if __name__ == "__main__":
    main(prog_name="swapwright")
