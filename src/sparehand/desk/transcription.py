"""Free words of a job written down after the work, where the model for it is installed; the sound stays beside them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from sparehand.conversation.session import amend
from sparehand.ground.clock import Moment
from sparehand.ground.places import MODELS_FOLDER
from sparehand.job.events import WordsWritten
from sparehand.job.job_notes import Note, notes
from sparehand.log.memos import MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.voice.sound.samples import Samples

LONGEST_WORDS = 4_000

Writer = Callable[[Samples], str]


def write_down(
    store: SqliteEventStore, job: str, by: str, bench: str, now: Moment, writer: Writer | None = None
) -> int:
    """Write down every recording of a job that has no words yet; gives how many. The job must be claimed.

    Without the English model of Vosk nothing is written, and nothing is loaded where nothing is to be written.
    """
    waiting = tuple(note for note in notes(store.events(job)) if note.sound_ms and not note.words)
    if not waiting:
        return 0
    writer = writer or _writer(store.path.parent / MODELS_FOLDER)
    if writer is None:
        return 0
    written = 0
    for note in waiting:
        words = _words(note, MemoFolder.beside(store.path), writer)
        if words:
            amend(store, job, WordsWritten(of=note.id, words=words[:LONGEST_WORDS]), by, bench, now)
            written += 1
    return written


def _words(note: Note, memos: MemoFolder, writer: Writer) -> str:
    from sparehand.voice.sound.wav import from_wav

    samples = from_wav(memos.read(note.id) or b"")
    return writer(samples) if samples is not None else ""


def _writer(models: Path) -> Writer | None:
    from sparehand.voice.models.model_store import installed_model

    model = installed_model("english", models)
    if model is None:
        return None
    from sparehand.voice.recognising.dictation import Dictation

    return Dictation(model).words
