"""What the ears make of a sound file, without any job."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import UTC, datetime
from pathlib import Path

from sparehand.clock import start_of_run
from sparehand.voice.ears import Ears
from sparehand.voice.heard import Heard
from sparehand.voice.phrase_file import load_phrases
from sparehand.voice.phrases import SITUATIONS, PhraseTable, Situation
from sparehand.voice.recogniser import Recogniser
from sparehand.voice.rejection import Listening, SensitivityName
from sparehand.voice.sources import FileSource


def hear_file(
    path: Path,
    engine: Recogniser,
    listen: Listening = "always",
    situations: Collection[Situation] = SITUATIONS,
    *,
    table: PhraseTable | None = None,
    sensitivity: SensitivityName = "normal",
) -> Iterator[Heard]:
    """Everything that is heard in a file, accepted or not, as it is decided.

    Raises InputError for a file that cannot be read; one without any speech gives nothing.
    """
    source = FileSource(path, start_of_run(datetime.fromtimestamp(0, UTC), "file"))
    try:
        ears = Ears(engine, table or load_phrases(), listen=listen, sensitivity=sensitivity, situations=situations)
        for block in source.blocks():
            yield from ears.hear(block)
        yield from ears.finish()
    finally:
        source.close()
