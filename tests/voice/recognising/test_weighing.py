from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from sparehand.job import commands as c
from sparehand.voice.recognising.weighing import (
    CEASELESS_TALK,
    DEAFENING_DB,
    LITTLE_TALK,
    LOUD_DB,
    MUCH_TALK,
    QUIET_DB,
    Reading,
    weighed,
)
from sparehand.voice.sound.samples import Word


def _reading(score: float, text: str, meaning: c.Command | None = None, *, called: bool = False) -> Reading:
    words = tuple(Word(word, at, at + 1, 1.0) for at, word in enumerate(text.split()))
    return Reading(score, words, called, meaning, meaning is not None or (called and not words))


NEXT = _reading(0.0, "next", c.Next())
QUIET = QUIET_DB + 10


def test_a_phrase_without_another_reading_is_sure() -> None:
    heard = weighed([NEXT], QUIET, call_word=False)
    assert (heard.text, heard.decoy_margin) == ("next", None)
    assert heard.confidence > 0.99


def test_many_readings_of_the_same_talk_count_once() -> None:
    talk = [_reading(-3.0, f"necks {ending}") for ending in ("to", "two", "too", "tune", "tool")]
    many, one = (weighed([NEXT, *others], QUIET, call_word=False) for others in (talk, talk[:1]))
    assert many.confidence == one.confidence


def test_in_noise_talk_that_fits_a_little_better_is_let_off() -> None:
    readings = [_reading(0.4, "necks"), NEXT]
    assert weighed(readings, QUIET, call_word=False).text == ""
    assert weighed(readings, LOUD_DB, call_word=False).confidence > 0.7


def test_to_somebody_in_the_middle_of_talk_nothing_is_let_off() -> None:
    readings = [_reading(0.4, "necks"), NEXT]
    assert weighed(readings, LOUD_DB, LITTLE_TALK, call_word=False).text == "next"
    assert weighed(readings, LOUD_DB, MUCH_TALK, call_word=False).text == ""


def test_from_somebody_who_talks_all_the_time_more_is_asked() -> None:
    readings = [NEXT, _reading(-3.0, "necks")]
    some, all_the_time = (
        weighed(readings, LOUD_DB, talk, call_word=False).confidence for talk in (MUCH_TALK, CEASELESS_TALK)
    )
    assert all_the_time < 0.7 < some
    assert weighed(readings, QUIET, CEASELESS_TALK, call_word=False).confidence > 0.7


def test_another_phrase_is_never_let_off() -> None:
    readings = [NEXT, _reading(-0.2, "go back", c.GoBack())]
    quiet, loud = (weighed(readings, snr_db, call_word=False).confidence for snr_db in (QUIET, LOUD_DB))
    assert quiet == loud < 0.7


def test_in_din_a_phrase_must_stand_out_more_from_another() -> None:
    readings = [NEXT, _reading(-1.5, "go back", c.GoBack())]
    loud, deafening = (weighed(readings, snr_db, call_word=False).confidence for snr_db in (LOUD_DB, DEAFENING_DB))
    assert deafening < 0.7 < loud


def test_in_noise_a_phrase_that_cannot_be_said_now_is_let_off_like_talk() -> None:
    readings = [NEXT, replace(_reading(-0.2, "next phase"), of_the_table=True)]
    assert weighed(readings, QUIET, call_word=False).confidence < 0.7
    assert weighed(readings, LOUD_DB, call_word=False).confidence > 0.9


def test_nothing_is_let_off_to_a_number() -> None:
    number = replace(_reading(0.0, "reading zero", c.Reading("0")), number=True)
    assert weighed([_reading(1.0, "read in the"), number], LOUD_DB, call_word=False).text == ""


def test_a_number_must_stand_out_more_in_noise() -> None:
    number = replace(_reading(0.0, "reading zero", c.Reading("0")), number=True)
    readings = [number, _reading(-3.0, "read in the")]
    quiet, loud = (weighed(readings, snr_db, call_word=False).confidence for snr_db in (QUIET, LOUD_DB))
    assert loud < quiet


def test_the_call_word_alone_is_told_from_a_called_phrase() -> None:
    alone = _reading(3.0, "", called=True)
    heard = weighed([alone, _reading(0.0, "next", c.Next(), called=True)], LOUD_DB, call_word=True)
    assert (heard.text, heard.called) == ("", True)


def test_with_a_call_word_only_what_follows_it_counts() -> None:
    assert weighed([NEXT], QUIET, call_word=True).text == ""


@given(st.floats(-20, 20), st.floats(-20, 20), st.floats(0, 60))
def test_dearer_talk_makes_surer(first: float, second: float, snr_db: float) -> None:
    near, far = (
        weighed(sorted([NEXT, _reading(score, "necks")], key=lambda r: -r.score), snr_db, call_word=False)
        for score in sorted((first, second), reverse=True)
    )
    assert near.confidence <= far.confidence
