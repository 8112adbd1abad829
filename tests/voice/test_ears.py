import json
from dataclasses import replace

import numpy as np
import pytest

from sparehand.job import commands as c
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.recognising.recogniser import Recognition
from sparehand.voice.recognising.rejection import Listening
from sparehand.voice.recognising.voice_print import VoicePrint
from sparehand.voice.sound.samples import Word
from voice.sounds import LOUD, LoudIsSpeech, ScriptedRecogniser, talk, texts

TABLE = load_phrases()


def _ears(recogniser: ScriptedRecogniser, listen: Listening = "always") -> Ears:
    return Ears(recogniser, TABLE, listen=listen, activity=LoudIsSpeech())


def _hear(ears: Ears, *lengths: float) -> list[Heard]:
    return [heard for block in talk(*lengths) for heard in ears.hear(block)] + list(ears.finish())


def test_a_plain_phrase_acts_at_the_first_short_silence() -> None:
    (heard,) = _hear(_ears(ScriptedRecogniser("go back a step")), 0.0, 1.28, 0.96, 2.0)
    assert heard.accepted
    assert heard.command == c.GoBack()
    assert heard.phrase.decided_at - heard.phrase.end < 0.5


@pytest.mark.parametrize("text", ["repeat", "mark done", "mark done three", "timer ten minutes", "reading five"])
def test_a_phrase_that_may_go_on_or_holds_a_number_waits_longer(text: str) -> None:
    (heard,) = _hear(_ears(ScriptedRecogniser(text)), 0.0, 1.28, 0.96, 2.0)
    assert heard.accepted
    assert heard.phrase.decided_at - heard.phrase.end >= 0.66


@pytest.mark.parametrize(("seconds", "reason"), [(0.32, "too much talk before it"), (1.28, "")])
def test_what_a_microphone_that_has_just_opened_hears_at_once_may_be_the_end_of_talk(
    seconds: float, reason: str
) -> None:
    ears = Ears(
        ScriptedRecogniser("go back a step"), TABLE, listen="always", activity=LoudIsSpeech(), after_quiet=False
    )
    (heard,) = _hear(ears, 0.0, seconds, 0.96, 2.0)
    assert (heard.accepted, heard.reason) == (not reason, reason)


def test_no_act_on_a_prefix_spoken_with_a_hesitation() -> None:
    recogniser = ScriptedRecogniser("repeat", "repeat torque")
    heard = _hear(_ears(recogniser), 0.0, 1.28, 0.64, 0.5, 0.64, 2.0)
    assert texts(heard) == ["repeat torque"]
    assert len(recogniser.asked) == 2


def test_an_utterance_that_only_grew_quieter_is_not_decoded_twice() -> None:
    recogniser = ScriptedRecogniser("mark done")
    _hear(_ears(recogniser), 0.0, 1.28, 0.96, 2.0)
    assert len(recogniser.asked) == 1


def test_talk_is_refused_with_a_reason_and_is_no_near_miss() -> None:
    (heard,) = _hear(_ears(ScriptedRecogniser(Recognition(""))), 0.0, 1.28, 0.96, 2.0)
    assert (heard.accepted, heard.reason, heard.near_miss) == (False, "no phrase", False)


def test_a_phrase_that_is_not_sure_enough_is_a_near_miss() -> None:
    (heard,) = _hear(_ears(ScriptedRecogniser(Recognition("say again", confidence=0.4))), 0.0, 1.28, 0.96, 2.0)
    assert (heard.accepted, heard.reason, heard.near_miss) == (False, "not sure enough", True)


def test_a_reading_with_a_digit_too_short_is_a_near_miss() -> None:
    words = (Word("reading", 1.3, 1.6, 1.0), Word("eight", 1.6, 1.8, 1.0), Word("two", 1.8, 1.89, 0.9))
    recogniser = ScriptedRecogniser(Recognition("reading eight two", words, 0.9))
    (heard,) = _hear(_ears(recogniser), 0.0, 1.28, 0.96, 2.0)
    assert (heard.accepted, heard.reason, heard.near_miss) == (False, "a digit too short", True)


def test_a_lasting_command_of_little_confidence_is_asked_back() -> None:
    (heard,) = _hear(_ears(ScriptedRecogniser(Recognition("park the job", confidence=0.8))), 0.0, 1.28, 0.96, 2.0)
    assert heard.accepted
    assert heard.asks_back


@pytest.mark.parametrize(
    ("text", "confidence", "asked"),
    [
        ("mark done", 0.6, True),
        ("mark done", 0.9, False),
        ("what size", 0.6, False),
        ("no cancel", 0.75, False),
        ("condition worn", 0.9, True),
        ("condition worn", 0.99, False),
        ("torque reading five", 0.6, False),
    ],
)
def test_what_is_doubtful_is_asked_back_if_it_changes_something(text: str, confidence: float, asked: bool) -> None:
    (heard,) = _hear(_ears(ScriptedRecogniser(Recognition(text, confidence=confidence))), 0.0, 1.28, 0.96, 2.0)
    assert (heard.accepted, heard.asks_back) == (True, asked)


@pytest.mark.parametrize(("text", "confidence"), [("yes confirm", 0.8), ("be quiet now", 0.6)])
def test_what_is_not_asked_back_must_be_surer(text: str, confidence: float) -> None:
    (heard,) = _hear(_ears(ScriptedRecogniser(Recognition(text, confidence=confidence))), 0.0, 1.28, 0.96, 2.0)
    assert (heard.accepted, heard.reason) == (False, "not sure enough")


def test_in_din_what_is_rather_sure_is_asked_back_too() -> None:
    asked = []
    for noise in (0.0, LOUD / 3):
        ears = _ears(ScriptedRecogniser(Recognition("mark done", confidence=0.9)))
        blocks = [replace(one, samples=np.maximum(one.samples, noise)) for one in talk(0.0, 1.28, 0.2, 2.0)]
        asked += [heard.asks_back for block in blocks for heard in ears.hear(block) if heard.accepted]
    assert asked == [False, True]


def test_in_the_middle_of_talk_what_is_doubtful_does_not_count() -> None:
    recogniser = ScriptedRecogniser(Recognition(""), Recognition("mark done", confidence=0.6))
    heard = _hear(_ears(recogniser), 0.0, 1.28, 1.28, 1.28, 0.64, 2.0)[-1]
    assert (heard.accepted, heard.reason) == (False, "not sure enough")


def _voice(first: float, second: float) -> VoicePrint:
    return VoicePrint(np.array([first, second]), np.eye(2))


@pytest.mark.parametrize(("second", "reason"), [(_voice(0.0, 3.0), "too much talk before it"), (_voice(3.0, 0.3), "")])
def test_after_words_in_another_voice_a_phrase_is_a_reply_and_after_ones_own_it_is_said_again(
    second: VoicePrint, reason: str
) -> None:
    recogniser = ScriptedRecogniser(Recognition(""), "say that again", voices=[_voice(3.0, 0.0), second, second])
    heard = _hear(_ears(recogniser), 0.0, 1.28, 0.64, 1.28, 0.64, 2.0)[-1]
    assert heard.reason == reason


@pytest.mark.parametrize(
    ("pauses", "accepted"), [((1.28,), True), ((0.8,), False), ((1.28, 1.28), True), ((1.28, 1.28, 1.28), False)]
)
def test_who_says_again_what_was_missed_listens_first_and_people_answer_each_other_at_once(
    pauses: tuple[float, ...], accepted: bool
) -> None:
    recogniser = ScriptedRecogniser(*[Recognition("")] * len(pauses), "say that again")
    spoken = [length for pause in pauses for length in (0.64, pause)]
    assert _hear(_ears(recogniser), 0.0, 3.2, *spoken, 0.64, 2.0)[-1].accepted is accepted


@pytest.mark.parametrize(("seconds", "accepted"), [(9.6, False), (19.2, True)])
def test_what_people_say_to_each_other_counts_again_some_seconds_after_a_conversation(
    seconds: float, accepted: bool
) -> None:
    recogniser = ScriptedRecogniser(Recognition(""), Recognition(""), "say that again")
    heard = _hear(_ears(recogniser), 0.0, 3.2, 0.64, 0.8, 0.64, seconds, 0.64, 2.0)[-1]
    assert heard.accepted is accepted


def test_what_it_says_itself_is_no_turn_of_another_voice() -> None:
    recogniser = ScriptedRecogniser(
        Recognition(""), "say that again", voices=[_voice(3.0, 0.0), *[_voice(0.0, 3.0)] * 2]
    )
    ears = _ears(recogniser)
    heard: list[Heard] = []
    for block in talk(0.0, 1.28, 0.64, 1.28, 0.64, 2.0):
        ears.bench_speaks = block.end_seconds < 2.0
        heard += ears.hear(block)
    assert texts(heard) == ["say that again"]


@pytest.mark.parametrize(
    ("text", "confidence", "accepted"),
    [
        ("hold for parts", 0.8, True),
        ("be quiet now", 0.8, True),
        ("stop listening", 0.8, True),
        ("next step", 1.0, True),
        ("next step", 0.8, False),
        ("i need parts", 1.0, False),
        ("that's done", 1.0, False),
        ("six two one", 1.0, False),
    ],
)
def test_in_a_conversation_counts_from_anybody_what_stops_and_what_people_hardly_say_to_each_other(
    text: str, confidence: float, accepted: bool
) -> None:
    recogniser = ScriptedRecogniser(
        Recognition(""), Recognition(text, confidence=confidence), voices=[_voice(3.0, 0.0), *[_voice(0.0, 3.0)] * 4]
    )
    heard = _hear(_ears(recogniser), 0.0, 1.28, 0.64, 1.28, 0.64, 2.0)[-1]
    assert heard.accepted is accepted


def test_without_the_call_word_nothing_counts() -> None:
    recogniser = ScriptedRecogniser(Recognition(""))
    (heard,) = _hear(_ears(recogniser, "call"), 0.0, 1.28, 0.96, 2.0)
    assert heard.reason == "no call word"
    assert recogniser.asked[0][1]


def test_the_call_word_alone_opens_the_ears_for_the_next_utterance() -> None:
    recogniser = ScriptedRecogniser(Recognition("", called=True), "say again", Recognition(""))
    heard = _hear(_ears(recogniser, "call"), 0.0, 1.28, 0.64, 1.28, 0.64, 1.28, 0.64, 2.0)
    assert texts(heard) == ["say again"]
    assert [asked_for_it for _, asked_for_it in recogniser.asked] == [True, False, True]


def test_with_a_key_only_what_is_said_while_it_is_held_is_decoded() -> None:
    recogniser = ScriptedRecogniser("say again")
    ears = _ears(recogniser, "key")
    blocks = list(talk(0.0, 0.64, 0.64, 1.28, 0.64, 1.28))
    heard: list[Heard] = []
    for block in blocks:
        if block.start_seconds == pytest.approx(2.4, abs=0.016):
            ears.key_down()
        if block.start_seconds == pytest.approx(3.52, abs=0.016):
            heard += ears.key_up()
        heard += ears.hear(block)
    assert texts(heard) == ["say again"]
    assert len(recogniser.asked) == 1


def test_a_tapped_key_lets_the_next_utterance_count() -> None:
    recogniser = ScriptedRecogniser("say again")
    ears = _ears(recogniser, "key")
    ears.key_tap()
    assert texts(_hear(ears, 0.0, 1.28, 0.64, 1.28, 0.64, 1.28)) == ["say again"]


def test_the_line_of_a_phrase_says_what_and_why() -> None:
    (heard,) = _hear(_ears(ScriptedRecogniser("repeat torque")), 0.0, 1.28, 0.96, 2.0)
    line = json.loads(heard.json_line())
    assert set(line) == {"start", "end", "decided_at", "text", "command", "accepted", "confidence"}
    assert line["command"] == "repeat_torque"
    assert set(json.loads(heard.json_line(why=True))) - set(line) == {
        "word_confidence",
        "decoy_margin",
        "silence_before",
        "silence_after",
        "speech_seconds",
        "reason",
    }


def test_what_stands_in_the_middle_of_talk_is_not_even_decoded_in_open_listening() -> None:
    recogniser = ScriptedRecogniser("say again", "go back a step")
    heard = _hear(_ears(recogniser), 0.0, 1.28, 0.96, 0.45, 0.96, 2.0)
    assert len(recogniser.asked) == 1
    assert texts(heard) == ["say again"]
    assert heard[-1].reason == "too much talk before it"


@pytest.mark.parametrize(("listen", "counts"), [("always", True), ("call", False)])
def test_talk_just_before_counts_in_open_listening_only(listen: Listening, counts: bool) -> None:
    recogniser = ScriptedRecogniser(Recognition(""), Recognition("next", confidence=1.0, called=True))
    _hear(_ears(recogniser, listen), 0.0, 1.28, 1.28, 1.28, 0.64, 2.0)
    assert (recogniser.asked[-1][0].recent_speech > 0) is counts
