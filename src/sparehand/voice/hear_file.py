"""What the ears make of a sound file, without any job."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import UTC, datetime
from pathlib import Path

from sparehand.ground.clock import start_of_run
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.recognising.recogniser import Recogniser
from sparehand.voice.recognising.rejection import Listening, SensitivityName
from sparehand.voice.sound.sources import FileSource


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
