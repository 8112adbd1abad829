"""What the demo must leave behind: `python tests/check_demo.py FOLDER` fails loudly where it does not."""

from __future__ import annotations

import html.parser
import json
import subprocess
import sys
from pathlib import Path

import soundfile

SHORTEST_SECONDS = 180


def check(folder: Path) -> list[str]:
    """Everything that is wrong with a demo's folder."""
    wrong: list[str] = []
    sound = soundfile.info(folder / "conversation.wav")
    if sound.samplerate != 16_000 or sound.duration < SHORTEST_SECONDS:
        wrong.append(f"the conversation is {sound.duration:.0f} s at {sound.samplerate} Hz")
    for page, words in (
        ("job-card.html", ("hanger nut", "22", "wrong part")),
        ("labour-report.html", ("<svg", "maker")),
    ):
        text = (folder / page).read_text(encoding="utf-8")
        html.parser.HTMLParser().feed(text)
        wrong.extend(f"{page} does not say '{word}'" for word in words if word not in text)
        wrong.extend(f"{page} loads '{far}' from elsewhere" for far in ('src="http', 'href="http') if far in text)
    jobs = _json_lines("hours", "--json", "--data", str(folder / "data"))
    if [job["open"] for job in jobs] != [False]:
        wrong.append(f"there should be one closed job: {jobs}")
    sheet = _json_lines("hours", jobs[0]["id"], "--json", "--data", str(folder / "data"))[0]
    parts = sheet["work_seconds"] + sheet["held_seconds"] + sheet["gap_seconds"]
    if abs(parts - sheet["elapsed_seconds"]) > 1e-6 or sheet["held_seconds"] < 2000:
        wrong.append(f"the time does not add up: {sheet}")
    kinds = [snag["kind"] for phase in sheet["phases"] for snag in phase["snags"]]
    if kinds != ["seized"]:
        wrong.append(f"one snag should be seized: {kinds}")
    quote = _json_lines("quote", sheet["procedure"], "--json", "--data", str(folder / "data"))[0]
    if quote["basis"] != "times" or quote["jobs_used"] < 10:
        wrong.append(f"the quote does not lean on the jobs: {quote}")
    return wrong


def _json_lines(*arguments: str) -> list[dict]:  # type: ignore[type-arg]
    run = subprocess.run(
        [sys.executable, "-m", "sparehand", *arguments], check=True, capture_output=True, text=True, timeout=120
    )
    return [json.loads(line) for line in run.stdout.splitlines()]


if __name__ == "__main__":
    found = check(Path(sys.argv[1]))
    for line in found:
        print(f"demo: {line}")
    sys.exit(1 if found else 0)
