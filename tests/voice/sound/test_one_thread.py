"""The voice activity model keeps to one thread, and nothing else is held to it."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from sparehand.voice.sound.one_thread import one_thread

_THREADS = """
import os
import numpy as np
from sparehand.voice.segmenting.activity import SileroActivity
model = SileroActivity()
before = len(os.listdir("/proc/self/task"))
model.probability(np.zeros(512, np.float32))
print(len(os.listdir("/proc/self/task")) - before, os.environ.get("OMP_THREAD_LIMIT", "none"))
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="threads are counted where Linux lists them")
def test_the_voice_activity_model_starts_no_threads() -> None:
    environment = {name: value for name, value in os.environ.items() if name != "OMP_THREAD_LIMIT"}
    done = subprocess.run([sys.executable, "-c", _THREADS], env=environment, capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["0", "none"]


def test_a_limit_set_before_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OMP_THREAD_LIMIT", "3")
    with one_thread():
        assert os.environ["OMP_THREAD_LIMIT"] == "1"
    assert os.environ["OMP_THREAD_LIMIT"] == "3"
