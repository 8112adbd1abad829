"""A strict reading of a page: what a validator and a screen reader would complain about first."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from html.parser import HTMLParser

_VOID = {"meta", "br", "img", "link", "hr", "input"}
_LOADS = {"src", "href", "action", "data", "poster", "srcset"}


@dataclass
class Page(HTMLParser):
    """The elements, text and complaints of one page."""

    html: str
    text: str = ""
    elements: Counter[str] = field(default_factory=Counter)
    complaints: list[str] = field(default_factory=list)
    _open: list[str] = field(default_factory=list)
    _ids: set[str] = field(default_factory=set)
    _referred: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.feed(self.html)
        self.close()
        self.complaints += [f"<{tag}> is never closed" for tag in self._open]
        self.complaints += [f"#{id} is referred to, but is not there" for id in self._referred - self._ids]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note the element, what it would load, and what it refers to."""
        given = dict(attrs)
        self.elements[tag] += 1
        if len(given) < len(attrs):
            self.complaints.append(f"<{tag}> has an attribute twice")
        if tag == "th" and "scope" not in given:
            self.complaints.append("a table header has no scope")
        if given.get("id") in self._ids:
            self.complaints.append(f"#{given['id']} is there twice")
        self._ids.add(given.get("id") or "")
        self._referred.update(f"{given.get('aria-labelledby') or ''}".split())
        self.complaints += [f"<{tag}> loads {given[name]}" for name in _LOADS & given.keys()]
        if tag not in _VOID:
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        """Every end closes what was opened last."""
        if not self._open or self._open.pop() != tag:
            self.complaints.append(f"</{tag}> closes something else")

    def handle_data(self, data: str) -> None:
        """Text that a person reads, styles apart."""
        if self._open and self._open[-1] != "style":
            self.text = " ".join(f"{self.text} {data}".split())
