from dataclasses import replace

from hypothesis import given, strategies as st

from sparehand.job import commands as c
from sparehand.voice.recognising.rescoring import (
    CEASELESS_SPEECH,
    LITTLE_SPEECH,
    LOUD_NOISE_DB,
    LOUDEST_NOISE_DB,
    MUCH_SPEECH,
    QUIET_DB,
    Hypothesis,
    rescored,
)
from sparehand.voice.sound.samples import Word


def _hypothesis(score: float, text: str, meaning: c.Command | None = None, *, called: bool = False) -> Hypothesis:
    words = tuple(Word(word, at, at + 1, 1.0) for at, word in enumerate(text.split()))
    return Hypothesis(score, words, called, meaning, meaning is not None or (called and not words))


NEXT = _hypothesis(0.0, "next", c.Next())
QUIET = QUIET_DB + 10


def test_a_phrase_without_another_reading_is_sure() -> None:
    heard = rescored([NEXT], QUIET, call_word=False)
    assert (heard.text, heard.decoy_margin) == ("next", None)
    assert heard.confidence > 0.99


def test_many_readings_of_the_same_talk_count_once() -> None:
    talk = [_hypothesis(-3.0, f"necks {ending}") for ending in ("to", "two", "too", "tune", "tool")]
    many, one = (rescored([NEXT, *others], QUIET, call_word=False) for others in (talk, talk[:1]))
    assert many.confidence == one.confidence


def test_in_noise_the_filler_model_has_a_discount() -> None:
    hypotheses = [_hypothesis(0.4, "necks"), NEXT]
    assert rescored(hypotheses, QUIET, call_word=False).text == ""
    assert rescored(hypotheses, LOUD_NOISE_DB, call_word=False).confidence > 0.7


def test_in_the_middle_of_talk_there_is_no_discount() -> None:
    hypotheses = [_hypothesis(0.4, "necks"), NEXT]
    assert rescored(hypotheses, LOUD_NOISE_DB, LITTLE_SPEECH, call_word=False).text == "next"
    assert rescored(hypotheses, LOUD_NOISE_DB, MUCH_SPEECH, call_word=False).text == ""


def test_from_somebody_who_talks_all_the_time_more_is_asked() -> None:
    hypotheses = [NEXT, _hypothesis(-3.0, "necks")]
    some, all_the_time = (
        rescored(hypotheses, LOUD_NOISE_DB, talk, call_word=False).confidence
        for talk in (MUCH_SPEECH, CEASELESS_SPEECH)
    )
    assert all_the_time < 0.7 < some
    assert rescored(hypotheses, QUIET, CEASELESS_SPEECH, call_word=False).confidence > 0.7


def test_another_phrase_has_no_discount() -> None:
    hypotheses = [NEXT, _hypothesis(-0.2, "go back", c.GoBack())]
    quiet, loud = (rescored(hypotheses, snr_db, call_word=False).confidence for snr_db in (QUIET, LOUD_NOISE_DB))
    assert quiet == loud < 0.7


def test_in_the_loudest_noise_the_margin_over_another_phrase_is_wider() -> None:
    hypotheses = [NEXT, _hypothesis(-1.5, "go back", c.GoBack())]
    loud, deafening = (
        rescored(hypotheses, snr_db, call_word=False).confidence for snr_db in (LOUD_NOISE_DB, LOUDEST_NOISE_DB)
    )
    assert deafening < 0.7 < loud


def test_in_noise_a_phrase_that_cannot_be_said_now_has_the_discount_of_the_filler_model() -> None:
    hypotheses = [NEXT, replace(_hypothesis(-0.2, "next phase"), of_the_table=True)]
    assert rescored(hypotheses, QUIET, call_word=False).confidence < 0.7
    assert rescored(hypotheses, LOUD_NOISE_DB, call_word=False).confidence > 0.9


def test_a_number_has_no_discount() -> None:
    number = replace(_hypothesis(0.0, "reading zero", c.Reading("0")), number=True)
    assert rescored([_hypothesis(1.0, "read in the"), number], LOUD_NOISE_DB, call_word=False).text == ""


def test_a_number_must_stand_out_more_in_noise() -> None:
    number = replace(_hypothesis(0.0, "reading zero", c.Reading("0")), number=True)
    hypotheses = [number, _hypothesis(-3.0, "read in the")]
    quiet, loud = (rescored(hypotheses, snr_db, call_word=False).confidence for snr_db in (QUIET, LOUD_NOISE_DB))
    assert loud < quiet


def test_the_call_word_alone_is_told_from_a_called_phrase() -> None:
    alone = _hypothesis(3.0, "", called=True)
    heard = rescored([alone, _hypothesis(0.0, "next", c.Next(), called=True)], LOUD_NOISE_DB, call_word=True)
    assert (heard.text, heard.called) == ("", True)


def test_with_a_call_word_only_what_follows_it_counts() -> None:
    assert rescored([NEXT], QUIET, call_word=True).text == ""


@given(st.floats(-20, 20), st.floats(-20, 20), st.floats(0, 60))
def test_dearer_talk_makes_surer(first: float, second: float, snr_db: float) -> None:
    near, far = (
        rescored(sorted([NEXT, _hypothesis(score, "necks")], key=lambda r: -r.score), snr_db, call_word=False)
        for score in sorted((first, second), reverse=True)
    )
    assert near.confidence <= far.confidence


def _reading(score: float, digits: str, *seconds: float) -> Hypothesis:
    ends = [sum(seconds[: at + 1]) for at in range(len(seconds))]
    words = tuple(
        Word(word, end - length, end, 1.0) for word, end, length in zip(digits.split(), ends, seconds, strict=True)
    )
    return Hypothesis(score, words, False, c.Reading(digits), True, True)


def test_a_digit_too_short_to_be_said_is_left_out_where_the_reading_without_it_was_heard_too() -> None:
    longer, shorter = _reading(0.0, "eight two nine", 0.3, 0.09, 0.3), _reading(-2.0, "eight nine", 0.35, 0.34)
    assert rescored([longer, shorter], QUIET, call_word=False).text == "eight nine"
    assert rescored([longer, shorter], QUIET, call_word=False).confidence > 0.99, "the longer one is no rival"
    assert rescored([longer], QUIET, call_word=False).text == "eight two nine", "which is refused later"


def test_no_digit_is_put_in_place_of_another() -> None:
    longer, other = _reading(0.0, "eight two nine", 0.3, 0.09, 0.3), _reading(-1.0, "eight five", 0.3, 0.4)
    assert rescored([longer, other], QUIET, call_word=False).text == "eight two nine"


def test_a_digit_of_full_length_stays() -> None:
    longer, shorter = _reading(0.0, "eight two nine", 0.3, 0.2, 0.3), _reading(-2.0, "eight nine", 0.35, 0.34)
    assert rescored([longer, shorter], QUIET, call_word=False).text == "eight two nine"
