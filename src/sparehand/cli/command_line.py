"""The entry point: prints the version at once, and hands anything else to the commands."""

from __future__ import annotations

import os
import sys

from sparehand import __version__


def main(arguments: list[str] | None = None) -> None:
    """Run the command line; a user's error is one line, without a traceback unless `--debug` is given."""
    given = sys.argv[1:] if arguments is None else arguments
    if given == ["--version"]:
        # Loading the commands takes ten times as long as this answer.
        print(f"sparehand {__version__}")
        return
    # The matrices of the estimates are small: a second thread would only wait, and take a core from the hearing.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from sparehand.cli.app import run_command
    from sparehand.cli.standard_streams import standard_streams

    with standard_streams():
        run_command(given)


if __name__ == "__main__":
    main()
