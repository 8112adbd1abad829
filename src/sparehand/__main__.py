"""`python -m sparehand`."""

from sparehand.cli import main

main()
