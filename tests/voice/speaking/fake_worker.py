"""Speech workers that misbehave, for the tests: `python fake_worker.py KIND COUNTER FOLDER`."""

import sys
import wave
from pathlib import Path

from sparehand.voice.speaking.synthesis_messages import SpeakRequest, Voice, WorkerReply


def speak(line: str) -> str:
    """A tenth of a second of loud samples for whatever is asked."""
    request = SpeakRequest.read(line)
    if request.lists_voices:
        return WorkerReply(voices=(Voice("one", "The one", ("en",)),)).line()
    if not request.text:
        return WorkerReply().line()
    with wave.open(request.file, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(22_050)
        file.writeframes(b"\x00\x40" * 2205)
    return WorkerReply().line()


def main() -> None:
    """Count the start, then behave as KIND says."""
    kind, counter = sys.argv[1], Path(sys.argv[2])
    starts = len(counter.read_text()) if counter.exists() else 0
    counter.write_text("x" * (starts + 1))
    for line in sys.stdin:
        if kind == "dies" or (kind == "dies first" and starts == 0):
            return
        if kind == "hangs" or (kind == "hangs first" and starts == 0):
            continue
        reply = WorkerReply(error="no such voice").line() if kind == "refuses" else speak(line)
        if kind.startswith("{") or kind in ("nonsense", "[]", "null"):
            reply = kind + "\n"
        sys.stdout.write(reply)
        sys.stdout.flush()


if __name__ == "__main__":
    main()
