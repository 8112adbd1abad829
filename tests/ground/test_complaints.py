"""What is wrong with a value is told in our own words, with its place; none of the library's sentences come through."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from typing import Any

import pytest
from pydantic import BaseModel, ValidationError

from job.table import demo_procedure
from screens.bay import PROCEDURE
from sparehand.ground.complaints import complaint, place_in_words, sentence
from sparehand.procedures.model import Procedure
from sparehand.settings import Settings

ODD: tuple[Any, ...] = (None, "", "x" * 9_000, "\x00", -5, 1e12, 2.5, float("nan"), True, [], [1], {}, {"a": 1})
OF_THE_LIBRARY = re.compile(r"(Input|String|List) should|Field required|Extra inputs|Value error|valid |Unable to")


def places(data: Any, before: tuple[int | str, ...] = ()) -> Iterator[tuple[int | str, ...]]:
    """Every place of a document."""
    for key, value in data.items() if isinstance(data, dict) else enumerate(data):
        yield (*before, key)
        if isinstance(value, dict | list):
            yield from places(value, (*before, key))


def complaints(model: type[BaseModel], document: dict[str, Any]) -> Iterator[Any]:
    """What the model says of the document with each odd value in every place, and without what stands there."""
    for place in list(places(document)):
        for odd in (*ODD, ...):
            changed = copy.deepcopy(document)
            within = changed
            for key in place[:-1]:
                within = within[key]  # type: ignore[index]
            if odd is not ...:
                within[place[-1]] = odd  # type: ignore[index]
            elif isinstance(place[-1], str):
                del within[place[-1]]
            try:
                model.model_validate(changed)
            except ValidationError as error:
                yield from error.errors(include_url=False)


@pytest.mark.parametrize(
    ("model", "document"),
    [
        (Procedure, PROCEDURE.model_dump(mode="json", exclude_defaults=True)),
        (Procedure, demo_procedure("brake-discs-epb").model_dump(mode="json", exclude_defaults=True)),
        (Settings, {**Settings().model_dump(), "no such setting": 1}),
    ],
    ids=["bay", "brake", "settings"],
)
def test_every_complaint_is_in_our_words(model: type[BaseModel], document: dict[str, Any]) -> None:
    found = {(problem["type"], complaint(problem)) for problem in complaints(model, document)}
    assert len(found) > 5
    assert [words for _, words in found if OF_THE_LIBRARY.search(words)] == []
    assert [kind for kind, words in found if words == "is not what belongs here"] == []


def test_the_place_is_told_from_the_inside_out() -> None:
    assert place_in_words(("phases", 0, "steps", 1, "say")) == "'say' of step 2 of phase 1"
    assert place_in_words(("source", "title")) == "'title' of 'source'"
    assert place_in_words(("sides", 1)) == "entry 2 of 'sides'"
    assert place_in_words(()) == ""


def test_a_missing_field_is_named_in_words() -> None:
    data = PROCEDURE.model_dump(mode="json", exclude_defaults=True)
    del data["phases"][0]["steps"][1]["say"]
    with pytest.raises(ValidationError) as caught:
        Procedure.model_validate(data)
    assert sentence(caught.value.errors()[0]) == "'say' of step 2 of phase 1 is missing"
