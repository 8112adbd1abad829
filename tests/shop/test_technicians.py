"""Technicians are told apart by what they are called aloud."""

from __future__ import annotations

import pytest

from sparehand.at_work.surroundings import require_unlike
from sparehand.ground.errors import InputError
from sparehand.job import commands as c
from sparehand.shop.technicians import read_technicians, spoken_technicians
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import SpokenNames


def test_a_technician_is_called_by_the_first_name_unless_told_otherwise() -> None:
    known = read_technicians("Ada Brook, Bo Østergaard: bo, Cy Moor: the boss")
    assert spoken_technicians(known) == {"ada": "Ada Brook", "bo": "Bo Østergaard", "the boss": "Cy Moor"}


def test_one_alone_need_not_be_told_apart() -> None:
    assert spoken_technicians(read_technicians("Ada Brook"), ["Ada Brook"]) == {}


def test_on_the_job_a_name_is_said_as_the_shop_says_it() -> None:
    known = read_technicians("Åse Dal: osa, Ben Field")
    assert spoken_technicians(known, ["Åse Dal"]) == {"osa": "Åse Dal", "ben": "Ben Field"}


def test_two_of_one_name_are_refused() -> None:
    with pytest.raises(InputError, match="both called 'ada'"):
        spoken_technicians(read_technicians("Ada Brook, Ada Moor"))


def test_a_name_that_cannot_be_said_is_refused() -> None:
    with pytest.raises(InputError, match="cannot be said as it is written"):
        read_technicians("Åse Dal")


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("ben joins the job", c.TechnicianJoins("Ben Field")),
        ("ben is speaking", c.TechnicianSpeaks("Ben Field")),
        ("hand over to ben", c.HandOver("Ben Field")),
        ("ben leaves the job", c.TechnicianLeaves("Ben Field")),
    ],
)
def test_what_is_said_of_a_technician_means_that_one(said: str, meant: c.Command) -> None:
    table = load_phrases(SpokenNames({}, {}, {"ben": "Ben Field", "ada": "Ada Brook"}))
    assert table.command_for(said, {"working"}) == meant


def test_names_that_sound_alike_are_refused_where_they_have_to_be_heard() -> None:
    require_unlike({"ada": "Ada Brook", "ben": "Ben Field"})
    with pytest.raises(InputError, match="'ben' and 'den' sound alike; call Den Moor otherwise"):
        require_unlike({"ben": "Ben Field", "den": "Den Moor"})


@pytest.mark.parametrize("text", [":", " : ", ":bee", "Ada Brook, :bee", "Ada\x1b[31m: ada", f"{'x' * 121}: ex"])
def test_a_name_that_is_none_is_one_line(text: str) -> None:
    with pytest.raises(InputError, match="is no technician's name") as refusal:
        read_technicians(text)
    assert str(refusal.value).isprintable()


def test_a_job_opened_without_a_name_is_taken_up_again() -> None:
    assert spoken_technicians(read_technicians("Ada Brook"), [""]) == {}
