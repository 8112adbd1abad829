"""The natural voice against a published dictionary: every word of the assistant's answers sounds as it should.

The dictionary is the CMU Pronouncing Dictionary, as pocketsphinx's wheel carries it. Consonants are compared; the two
sets of vowels do not match one to one.
"""

from __future__ import annotations

import re
from collections import defaultdict
from pathlib import Path

import pocketsphinx

from bench.speaking_sentences import words_of
from job.spoken_words import whole_jobs
from needs import skip_unless
from sparehand.voice.speaking.natural_voice import natural_voice_is_installed

CONSONANTS = {
    **{"B": "b", "CH": "ʧ", "D": "d", "DH": "ð", "F": "f", "G": "ɡ", "HH": "h", "JH": "ʤ", "K": "k", "L": "l"},
    **{"M": "m", "N": "n", "NG": "ŋ", "P": "p", "R": "ɹ", "ER": "ɹ", "S": "s", "SH": "ʃ", "T": "t", "TH": "θ"},
    **{"V": "v", "W": "w", "Y": "j", "Z": "z", "ZH": "ʒ"},
}
"""The dictionary's sounds (ARPAbet) in the voice's letters (IPA, affricates as one)."""
_NO_CONSONANT = re.compile(f"[^{''.join(set(CONSONANTS.values()))}]")
NOT_IN_THE_DICTIONARY = 10
"""At most so many words of the answers have no entry."""


def dictionary() -> dict[str, set[str]]:
    """The consonants of each word, one entry a pronunciation."""
    path = Path(pocketsphinx.get_model_path()) / "en-us" / "cmudict-en-us.dict"
    told = defaultdict(set)
    for line in path.read_text(encoding="utf-8").splitlines():
        word, *sounds = line.split()
        told[re.sub(r"\(\d+\)$", "", word)].add("".join(CONSONANTS.get(sound, "") for sound in sounds))
    return told


def test_every_word_of_an_answer_is_pronounced_as_the_dictionary_says() -> None:
    skip_unless(natural_voice_is_installed(), "the natural voice's wheel is not installed")
    from hibari import Hibari

    voice, told = Hibari(), dictionary()
    words = {word for said in whole_jobs() for line in said.answer.lines for word in words_of(line.spoken)}
    # "T" is the voice's letter for the t between vowels; whether "wh" has an h is a matter of accent.
    sounds = {word: "".join(voice.phonemize(word)).replace("T", "t").replace("hw", "w") for word in words & told.keys()}
    wrong = {word: sound for word, sound in sounds.items() if _NO_CONSONANT.sub("", sound) not in told[word]}
    assert not wrong
    assert len(words - told.keys()) <= NOT_IN_THE_DICTIONARY
