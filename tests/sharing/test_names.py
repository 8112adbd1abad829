"""Every name comes back as it was, whatever is in it."""

from __future__ import annotations

from hypothesis import example, given, strategies as st

from sparehand.sharing.text_encoding import read_name, written_name


@given(name=st.text(st.characters(codec="utf-8")))
@example(name="Ida\\0 \0 Demo\\")
def test_a_name_is_kept_without_the_character_zero_and_read_back_the_same(name: str) -> None:
    kept = written_name(name)
    assert "\0" not in kept
    assert read_name(kept) == name
