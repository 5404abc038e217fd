"""`python -m trainer` and the `trainer` command."""

from __future__ import annotations

import sys


def main() -> int:
    """Run the command line and give its exit code."""
    from trainer.cli.main import run_process

    return run_process(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
