"""A headless browser that prints pages, where this machine has one."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import needs

QUIET = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-pdf-header-footer",
)


@dataclass(frozen=True)
class Print:
    """A printed page: the size of its paper in points, and how many pages there are."""

    width: float
    height: float
    pages: int


def find_browser() -> str:
    """The browser's path; skips the running test where there is no Chromium."""
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    needs.skip_unless(browser is not None, "Chromium is not installed")
    return str(browser)


def print_page(html: str, paper: str, folder: Path) -> Print:
    """Print a page on `paper` ("A4" or "Letter"); skips the running test where there is no Chromium."""
    browser = find_browser()
    page, pdf = folder / "page.html", folder / "page.pdf"
    page.write_text(html.replace("</head>", f"<style>@page {{ size: {paper} }}</style></head>"), encoding="utf-8")
    profile = f"--user-data-dir={folder / 'profile'}"
    command = [browser, *QUIET, profile, f"--print-to-pdf={pdf}", page.as_uri()]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return _read(pdf.read_bytes())


def _read(pdf: bytes) -> Print:
    box = re.search(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", pdf)
    assert box is not None, "the PDF has no paper size"
    return Print(float(box[1]), float(box[2]), len(re.findall(rb"/Type\s*/Page\b", pdf)))
