"""A stream heard by ears whose key is held while something is said, as a hand on a pedal would."""

from __future__ import annotations

from collections.abc import Iterator

from bench.hearing.stream import Stream, blocks_of
from sparehand.voice.ears import Ears
from sparehand.voice.recognising.heard import Heard

KEY_BEFORE_SECONDS = 0.3
KEY_AFTER_SECONDS = 0.2
"""How long a hand holds the key before and after the words."""


def decisions_with_key(ears: Ears, stream: Stream) -> tuple[Heard, ...]:
    """Everything that the ears decided of a stream, the key held for each utterance."""
    return tuple(_heard(ears, stream)) + ears.finish()


def _heard(ears: Ears, stream: Stream) -> Iterator[Heard]:
    edges = sorted(
        edge
        for said in stream.said
        for edge in ((said.start - KEY_BEFORE_SECONDS, False), (said.end + KEY_AFTER_SECONDS, True))
    )
    for block in blocks_of(stream.samples):
        yield from ears.hear(block)
        while edges and block.end_seconds >= edges[0][0]:
            _, let_go = edges.pop(0)
            if let_go:
                yield from ears.key_up()
            else:
                ears.key_down()
