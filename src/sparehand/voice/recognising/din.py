"""In din more is asked back: what elsewhere would be done at once, and what elsewhere would not be heard."""

from __future__ import annotations

from dataclasses import replace

from sparehand.voice.recognising.rejection import Sensitivity

DIN_DB = 12.0
DROWNED_DB = 6.0
"""Speech above steady noise, below which more is asked back, and below which all is; chosen by `signal_to_noise_db`.

Five tuning voices over pink noise at 10, 5 and 2 dB, an impact wrench at 5 and 2 dB and babble at 10 dB: of what was
heard with a confidence of 0.85 or more, from 12 dB up none of 378 phrases was wrong, from 6 to 12 dB 7 of 438, six of
them below 0.97, and below 6 dB 11 of 140, eight of them above. Of what was heard with 0.3 to 0.85, half was right.
Blows are left out since: over a hammer at 10 dB 37 of 100 commands were asked back rightly and 19 are, as few wrongly.
"""
SURE_IN_DIN = 0.97
ANSWERED_IN_DIN = 0.9
NEVER_SURE = 1.01
"""Above every confidence."""
LESS_TO_BE_HEARD = 0.2
LESS_FOR_A_NUMBER = 0.3
"""How much lower the least confidences are, since all that was heard with so little is asked back."""
LEAST_SPEECH_IN_DIN = 0.06
"""Seconds, two blocks: babble hides much of a command, and ten of 200 were heard rightly but seemed too short."""


def in_din(sensitivity: Sensitivity, snr_db: float, *, among_talk: bool = False) -> Sensitivity:
    """The `sensitivity` for speech that is `snr_db` above the noise, where everything that is said may count.

    There nobody can tell talk from commands that were missed and said again: `among_talk` all is asked back, too.
    """
    if snr_db >= DIN_DB:
        return sensitivity
    drowned = among_talk or snr_db < DROWNED_DB
    sure = NEVER_SURE if drowned else SURE_IN_DIN
    return replace(
        sensitivity,
        least_confidence=sensitivity.least_confidence - LESS_TO_BE_HEARD,
        least_number_confidence=sensitivity.least_number_confidence - LESS_FOR_A_NUMBER,
        least_confidence_in_conversation=sensitivity.least_confidence_in_conversation - LESS_TO_BE_HEARD,
        least_speech=LEAST_SPEECH_IN_DIN,
        least_speech_of_a_word=LEAST_SPEECH_IN_DIN,
        sure_confidence=sure,
        deciding_confidence=sure,
        answered_confidence=NEVER_SURE if drowned else ANSWERED_IN_DIN,
    )
