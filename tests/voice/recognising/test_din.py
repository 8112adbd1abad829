import pytest

from sparehand.job.situation import SITUATIONS
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.asking_back import among_talk, asks_back
from sparehand.voice.recognising.din import in_din
from sparehand.voice.recognising.rejection import SENSITIVITIES, SensitivityName

TABLE = load_phrases()
IN_QUIET, IN_DIN, DROWNED = 25.0, 9.0, 3.0


def _asked(text: str, confidence: float, snr_db: float) -> bool:
    matched = TABLE.match(text, SITUATIONS)
    assert matched is not None
    return asks_back(matched[0], confidence, in_din(SENSITIVITIES["normal"], snr_db), "always")


@pytest.mark.parametrize(
    ("text", "confidence", "in_quiet", "in_din_", "drowned"),
    [
        ("mark done", 0.9, False, True, True),
        ("mark done", 0.98, False, False, True),
        ("condition worn", 0.99, False, False, True),
        ("timer twenty minutes", 0.9, False, True, True),
        ("what size", 0.6, False, True, True),
        ("what size", 0.95, False, False, True),
        ("no cancel", 0.75, False, False, False),
        ("torque reading five", 0.6, False, False, False),
    ],
)
def test_the_less_it_stands_out_from_the_noise_the_more_is_asked_back(
    text: str, confidence: float, in_quiet: bool, in_din_: bool, drowned: bool
) -> None:
    asked = [_asked(text, confidence, snr_db) for snr_db in (IN_QUIET, IN_DIN, DROWNED)]
    assert asked == [in_quiet, in_din_, drowned]


@pytest.mark.parametrize("name", ["careful", "normal", "keen"])
@pytest.mark.parametrize("text", ["mark done", "what size", "timer twenty minutes"])
@pytest.mark.parametrize("snr_db", [IN_DIN, DROWNED])
def test_what_would_not_be_heard_in_quiet_is_asked_back_in_din(name: SensitivityName, text: str, snr_db: float) -> None:
    matched = TABLE.match(text, SITUATIONS)
    assert matched is not None
    quiet, din = SENSITIVITIES[name], in_din(SENSITIVITIES[name], snr_db)
    assert din.least_confidence < quiet.least_confidence
    assert din.least_number_confidence < quiet.least_number_confidence
    assert asks_back(matched[0], quiet.least_confidence, din, "always")


def test_careful_stays_more_careful_than_keen_in_din() -> None:
    careful, keen = (in_din(SENSITIVITIES[name], IN_DIN) for name in ("careful", "keen"))
    assert careful.least_confidence > keen.least_confidence


def test_in_din_a_command_may_seem_shorter_for_the_noise_hides_some_of_it() -> None:
    quiet, din = SENSITIVITIES["normal"], in_din(SENSITIVITIES["normal"], IN_DIN)
    assert 0.0 < din.least_speech < quiet.least_speech
    assert 0.0 < din.least_speech_of_a_word < quiet.least_speech_of_a_word
    assert din.least_confidence_in_conversation < quiet.least_confidence_in_conversation


@pytest.mark.parametrize(
    ("text", "in_quiet", "in_din_"),
    [("move on", "refused", "always"), ("next step", "if sure", "always"), ("yes confirm", "if sure", "if sure")],
)
def test_in_din_talk_is_asked_back_for_it_may_be_a_command_said_again(text: str, in_quiet: str, in_din_: str) -> None:
    matched = TABLE.match(text, SITUATIONS)
    assert matched is not None
    pattern = matched[0]
    quiet, din = (in_din(SENSITIVITIES["normal"], snr_db, among_talk=True) for snr_db in (IN_QUIET, IN_DIN))
    assert (among_talk(pattern, quiet), among_talk(pattern, din)) == (in_quiet, in_din_)
    assert asks_back(pattern, 1.0, din, "always") is (in_din_ == "always")
