"""The phrases of a job on one page to print: chosen by hand here, their words and what they do read from the table."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from sparehand.voice.phrases.phrase_file import load_phrases

GROUPS: Mapping[str, tuple[str, ...]] = {
    "Move on": ("next", "go back", "skip this step", "go to {name}", "next phase", "undo that"),
    "Confirm": (
        "mark done",
        "mark done {count}",
        "warning understood",
        "new part fitted",
        "mark is made",
        "mark is found",
        "check passed",
        "condition good",
        "needs replacing",
        "torque reading {digits}",
    ),
    "Answer a question": ("yes confirm", "no cancel", "say again"),
    "Ask": (
        "repeat",
        "repeat torque",
        "in foot pounds",
        "what size",
        "torque for {name}",
        "what holds {name}",
        "what is loose",
        "what comes next",
        "where am i",
        "what do i need",
        "time check",
        "say more",
        "what can i say",
    ),
    "Stop and start the clock": ("hold for parts", "hold for a tool", "hold for a break", "back to work"),
    "Name a delay": ("it is seized", "it is broken", "there is no access", "snag over"),
    "Be quiet": ("be quiet now", "stop listening"),
    "Leave the procedure": ("cannot tighten", "thread does not hold"),
    "Keep for others": ("keep a memo", "keep a lesson", "end the memo"),
    "End": ("park the job", "hand over to {name}", "close the job"),
}
_SLOTS = {"{digits}": "one one zero", "{count}": "three", "{name}": "…"}
_STYLE = """
  body { margin: 0 auto; max-width: 60rem; padding: 1rem; color: #111; background: #fff;
    font: 11pt/1.3 system-ui, sans-serif; }
  h1 { margin: 0 0 .2em; font-size: 1.5em; } p { margin: 0 0 .5em; }
  main { columns: 2; column-gap: 1.6em; }
  section { break-inside: avoid; border-top: 2px solid #111; padding: .2em 0 .5em; }
  h2 { margin: 0; font-size: 1em; } dl { display: grid; grid-template-columns: 9.5em 1fr; gap: .05em .6em; margin: 0; }
  dt { font-weight: 700; } dd { margin: 0; }
  @page { margin: 11mm; } @media print { body { padding: 0; font-size: 8.6pt; } }
"""


def phrase_card() -> str:
    """The card as HTML. Raises KeyError for a phrase that the table does not hold any more."""
    does = {pattern.phrase: pattern.does for pattern in load_phrases().patterns}
    sections = "\n".join(_section(title, {phrase: does[phrase] for phrase in GROUPS[title]}) for title in GROUPS)
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<!-- Written by docs/generate.py; change docs/phrase_card.py or the phrase table, not this page. -->
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Sparehand: the phrases of a job</title>
<style>{_STYLE}</style>
</head>
<body>
<h1>The phrases of a job</h1>
<p>Say them as they stand here; numbers digit by digit, with "decimal" for the point; for … the name that the step uses.
What counts depends on the step: ask <strong>what can i say</strong>. Talk among people gets no answer.
The vehicle maker's data prevail over anything that you hear.</p>
<main>
{sections}
</main>
</body>
</html>
"""


def _section(title: str, phrases: Mapping[str, str]) -> str:
    rows = "\n".join(f"<dt>{escape(_said(phrase))}</dt><dd>{escape(does)}</dd>" for phrase, does in phrases.items())
    return f"<section>\n<h2>{title}</h2>\n<dl>\n{rows}\n</dl>\n</section>"


def _said(phrase: str) -> str:
    for slot, words in _SLOTS.items():
        phrase = phrase.replace(slot, words)
    return phrase
