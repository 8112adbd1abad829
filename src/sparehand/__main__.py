"""`python -m sparehand`."""

from sparehand.cli.command_line import main

main()
