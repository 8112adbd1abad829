"""Memos: the sound is a file before its event is an event, and nothing is left half-written."""

from __future__ import annotations

import os
from pathlib import Path
from uuid import UUID

import numpy as np
import pytest

from conversation.noted import TABLE, NotedSpeaker, NotedView
from job.table import open_job
from log.memory_store import MemoryEventStore
from sparehand.conversation.bench import Bench
from sparehand.conversation.note_recording import NoteTaker
from sparehand.conversation.session import JobSession
from sparehand.job import commands as c
from sparehand.job.experience import Experience
from sparehand.job.job_lessons import lessons
from sparehand.job.job_notes import Note, notes
from sparehand.log.memos import MemoFolder
from sparehand.voice.ears import Ears
from sparehand.voice.recognising.recogniser import Recognition
from sparehand.voice.sound.samples import Samples
from sparehand.voice.sound.wav import as_wav, from_wav
from voice.sounds import LOUD, LoudIsSpeech, ScriptedRecogniser, talk

SAYS_IT_AND_MORE = (0.0, 1.28, 0.96, 1.6, 1.92)
"""A command, quiet, then a stretch of talk; what comes after is each test's own."""


class Order(MemoFolder):
    """A folder that looks, as it keeps a recording, whether its event is there already."""

    def __init__(self, folder: Path, store: MemoryEventStore) -> None:
        super().__init__(folder)
        self.store = store
        self.kept_before_its_event: list[bool] = []

    def keep(self, id: UUID, wav: bytes) -> None:
        super().keep(id, wav)
        self.kept_before_its_event.append(all(one.id != id for one in self.store.events("a-job")))


class MemoBench:
    """A bench with a job, ears that hear what they are told, and a folder for memos."""

    def __init__(self, folder: Path, *script: Recognition | str, longest_seconds: float = 120) -> None:
        self.view, self.speaker = NotedView(), NotedSpeaker()
        self.store = MemoryEventStore()
        self.memos = Order(folder, self.store)
        self.recogniser = ScriptedRecogniser(*script)
        ears = Ears(self.recogniser, TABLE, listen="always", activity=LoudIsSpeech())
        taker = NoteTaker(self.memos, longest_seconds)
        self.bench = Bench(self.view, self.speaker, TABLE, ears, listening="always listening", notes=taker)
        table = open_job()
        self.store.append("a-job", 0, table.history)
        self.session = JobSession(self.store, table.state, "bench 1")

    def hear(self, *lengths: float) -> tuple[Note, ...]:
        self.bench.run(self.session, talk(*lengths))
        return notes(self.store.events("a-job"))


def test_a_memo_is_a_file_named_by_its_event_and_on_the_disk_before_it(tmp_path: Path) -> None:
    bench = MemoBench(tmp_path, "keep a memo", Recognition(""), "end the memo")
    (memo,) = bench.hear(*SAYS_IT_AND_MORE, 0.96, 1.28, 2.0)
    assert bench.memos.kept_before_its_event == [True]
    assert bench.memos.file_of(memo)
    samples = from_wav(bench.memos.read(memo.id) or b"")
    assert samples is not None
    assert memo.sound_ms == round(len(samples) / 16)
    assert np.count_nonzero(samples > LOUD / 2) / 16_000 == pytest.approx(1.92, abs=0.1), "the talk, not its end"
    assert memo.at == bench.session.state.progress.at
    assert "Memo kept, " in bench.view.answers[-1]


def test_the_screen_shows_that_it_records_and_for_how_long(tmp_path: Path) -> None:
    bench = MemoBench(tmp_path, "keep a memo", Recognition(""), "end the memo")
    bench.hear(*SAYS_IT_AND_MORE, 0.96, 1.28, 2.0)
    recording = [sign for sign in bench.view.signs if "recording a memo" in sign]
    assert "6 s" in recording[-1]
    assert len(set(recording)) > 4
    assert bench.view.signs[-1] == "always listening"


def test_a_long_quiet_ends_a_memo(tmp_path: Path) -> None:
    bench = MemoBench(tmp_path, "keep a memo", Recognition(""))
    assert len(bench.hear(*SAYS_IT_AND_MORE, 6.4, 0.0)) == 1


def test_no_memo_is_longer_than_the_setting(tmp_path: Path) -> None:
    bench = MemoBench(tmp_path, "keep a memo", Recognition(""), longest_seconds=10)
    (memo,) = bench.hear(*SAYS_IT_AND_MORE, 0.0, 12.0, 0.0)
    assert memo.sound_ms <= 10_100


@pytest.mark.parametrize("ending", ["drop the memo", None])
def test_what_is_dropped_or_was_never_said_leaves_nothing(tmp_path: Path, ending: str | None) -> None:
    script = ("keep a memo", Recognition(""), ending) if ending else ("keep a memo",)
    bench = MemoBench(tmp_path, *script)
    assert bench.hear(*(*SAYS_IT_AND_MORE, 0.96, 1.28, 2.0) if ending else (0.0, 1.28, 0.96, 13.0)) == ()
    assert list(tmp_path.iterdir()) == []


def test_a_memo_that_is_recorded_when_the_sound_ends_is_kept(tmp_path: Path) -> None:
    assert len(MemoBench(tmp_path, "keep a memo", Recognition("")).hear(*SAYS_IT_AND_MORE, 0.96)) == 1


def test_a_memo_that_was_taken_back_is_no_longer_the_jobs_and_its_file_is_a_stray(tmp_path: Path) -> None:
    bench = MemoBench(tmp_path, "keep a memo", Recognition(""), "end the memo", "undo that")
    assert bench.hear(*SAYS_IT_AND_MORE, 0.96, 1.28, 2.0, 1.28, 2.0) == ()
    assert len(list(bench.memos.strays(()))) == 1


def test_a_memo_on_a_full_disk_is_told_in_one_line_and_is_no_event(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = MemoBench(tmp_path, "keep a memo", Recognition(""), "end the memo")

    def full(_descriptor: int) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr("sparehand.log.durable.sync", full)
    bench.hear(*SAYS_IT_AND_MORE, 0.96, 1.28, 2.0)
    assert "the memo was not kept" in bench.view.answers[-1]
    assert "\n" not in bench.view.answers[-1]
    assert notes(bench.store.events("a-job")) == ()
    assert list(tmp_path.iterdir()) == []


class PlayingSpeaker(NotedSpeaker):
    """Keeps what it is to play too."""

    def __init__(self) -> None:
        super().__init__()
        self.played: list[int] = []

    def play(self, samples: Samples) -> None:
        self.played.append(len(samples))


@pytest.mark.parametrize("there", [True, False])
def test_a_spoken_lesson_is_played_in_its_own_voice_at_its_step_or_its_loss_is_shown(
    tmp_path: Path, there: bool
) -> None:
    table = open_job()
    table.do(c.Understood(), c.NoteTaken(UUID(int=5), "lesson", sound_ms=2_000))
    (lesson,) = lessons(table.history)
    memos, view, speaker = MemoFolder(tmp_path), NotedView(), PlayingSpeaker()
    if there:
        memos.keep(lesson.note.id, as_wav(np.zeros(32_000, np.float32)))
    session = JobSession(MemoryEventStore(), table.state, "bench 1", Experience(lessons=(lesson,)))
    bench = Bench(view, speaker, TABLE, notes=NoteTaker(memos))
    bench.say(session.respond(c.RepeatStep(), table.clock.now()))
    assert speaker.said[-1].endswith("Note from Ada Brook, 2 March 2026. A note, not a specification.")
    assert speaker.played == ([32_000] if there else [])
    assert view.notes == ([] if there else ["Its recording is gone."])


def test_while_a_memo_is_spoken_nothing_of_it_is_on_the_disk(tmp_path: Path) -> None:
    taker = NoteTaker(MemoFolder(tmp_path))
    taker.begin(c.KeepMemo())
    for block in talk(2.0, 1.0, 2.0):
        assert not taker.hear(block, True)
        assert list(tmp_path.iterdir()) == []
    assert isinstance(taker.end(), c.NoteTaken)
    assert [path.suffix for path in tmp_path.iterdir()] == [".wav"]


def test_a_sound_that_is_missing_or_damaged_is_no_failure(tmp_path: Path) -> None:
    memos = MemoFolder(tmp_path)
    assert memos.read(UUID(int=1)) is None
    assert from_wav(b"RIFF no sound") is None
