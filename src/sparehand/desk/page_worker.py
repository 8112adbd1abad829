"""Makes one page for the desk in a process of its own, so that the bench beside it keeps hearing.

Reads a request as JSON from its input and writes the answer as JSON to its output:
`python -m sparehand.desk.page_worker`.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from sparehand.desk.desk_pages import made_page
from sparehand.ground.bounds import read_json

LONGEST_REQUEST = 100_000


def main() -> None:
    """One request, one answer."""
    asked = read_json(sys.stdin.read(LONGEST_REQUEST), LONGEST_REQUEST)
    status, page = made_page(
        asked["page"], asked["fields"], Path(asked["folder"]), to_make=asked["make"], beside_bay=asked["beside_bay"]
    )
    sys.stdout.write(json.dumps({"status": status, "page": page}))


if __name__ == "__main__":
    main()
