"""The settings file: complete, commented, checked, and never half-written."""

from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from sparehand.ground.errors import InputError
from sparehand.settings import SETTINGS_FILE, Settings, load_settings, set_value, write_default


def test_a_folder_without_a_file_has_the_defaults(tmp_path: Path) -> None:
    assert load_settings(tmp_path) == Settings()


def test_the_file_that_is_written_says_the_defaults_and_explains_every_key(tmp_path: Path) -> None:
    lines = write_default(tmp_path).read_text(encoding="utf-8").splitlines()

    assert load_settings(tmp_path) == Settings()
    for key in Settings.model_fields:
        (place,) = [number for number, line in enumerate(lines) if line.startswith(f"{key} = ")]
        assert lines[place - 1].startswith("# ")


def test_a_file_that_is_there_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / SETTINGS_FILE).write_text('bench = "by the door"\n')

    write_default(tmp_path)

    assert load_settings(tmp_path).bench == "by the door"


def test_a_changed_value_leaves_every_other_line_as_it_was(tmp_path: Path) -> None:
    before = write_default(tmp_path).read_text(encoding="utf-8").splitlines()

    assert set_value(tmp_path, "torque_unit", "lbf·ft").torque_unit == "lbf·ft"
    after = (tmp_path / SETTINGS_FILE).read_text(encoding="utf-8").splitlines()

    assert [line for line, was in zip(after, before, strict=True) if line != was] == ['torque_unit = "lbf·ft"']


@pytest.mark.parametrize(("key", "typed", "value"), [("volume", "0.4", 0.4), ("words_per_minute", "150", 150)])
def test_a_number_may_be_typed_as_text(tmp_path: Path, key: str, typed: str, value: object) -> None:
    assert getattr(set_value(tmp_path, key, typed), key) == value


def test_an_empty_text_is_the_default(tmp_path: Path) -> None:
    set_value(tmp_path, "listening", "call")

    assert set_value(tmp_path, "listening", "").listening is None


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("volume = 3", "volume"),
        ('torque_unit = "Nm"', "N·m, lbf·ft, lbf·in or kgf·m"),
        ('listening = "sometimes"', "always, call"),
        ('call_word = "Hey!"', "small letters"),
        ("loudness = 3", "loudness: is not known here; the settings are: torque_unit"),
        ("volume = ", "is a TOML file"),
        ("[voice]", "voice"),
    ],
)
def test_a_wrong_line_is_named_with_file_line_and_what_to_do(tmp_path: Path, line: str, says: str) -> None:
    (tmp_path / SETTINGS_FILE).write_text(f'# mine\nbench = "one"\n{line}\n', encoding="utf-8")

    with pytest.raises(InputError) as error:
        load_settings(tmp_path)

    assert f"{SETTINGS_FILE}:3: " in str(error.value)
    assert says in str(error.value)
    assert "\n" not in str(error.value)


def test_a_value_that_is_refused_changes_nothing(tmp_path: Path) -> None:
    before = write_default(tmp_path).read_bytes()

    for key, value in (("volume", "loud"), ("volume", 7), ("nonsense", 1), ("bench", "bay\x1b[31m")):
        with pytest.raises(InputError, match=key):
            set_value(tmp_path, key, value)

    assert (tmp_path / SETTINGS_FILE).read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == [SETTINGS_FILE]


def test_a_file_in_another_encoding_is_told(tmp_path: Path) -> None:
    (tmp_path / SETTINGS_FILE).write_bytes(b'bench = "\xe9tabli"\n')

    with pytest.raises(InputError, match="UTF-8"):
        load_settings(tmp_path)


@given(st.text(max_size=80))
def test_any_file_gives_settings_or_one_line_for_the_user(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    folder = tmp_path_factory.mktemp("settings")
    (folder / SETTINGS_FILE).write_text(text, encoding="utf-8")

    with suppress(InputError):
        assert isinstance(load_settings(folder), Settings)
