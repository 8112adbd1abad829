"""What the talkers say: commands of every kind, and 80 near-commands that mean something else."""

from __future__ import annotations

COMMANDS = (
    "next", "next step", "mark done", "next phase", "go back", "skip this step", "undo that", "say again",
    "repeat step", "repeat torque", "torque in newton metres", "in foot pounds", "what size", "what comes next",
    "what is loose", "where am i", "list the skipped steps", "which parts", "time check", "be quiet now",
    "what can i say", "hold for parts", "hold for the lift", "back to work", "it is seized", "snag over",
    "start the timer", "timer twenty minutes", "how much longer", "warning understood", "condition worn",
    "torque reading four six decimal five", "new part fitted", "at ride height", "check passed", "cannot tighten",
    "yes confirm", "no cancel", "park the job", "close the job",
)  # fmt: skip
"""Forty commands, with the short and the risky ones, two of them with a number."""

NEAR_COMMANDS = (
    "be quick now", "what sides", "next job", "next week", "next time", "next patient", "next door", "the other one",
    "mark them", "mark is here", "mark down", "mark's gone", "my mark's done that", "go bag it", "go back home",
    "go on back", "skip the lot", "skip this stuff", "skip to the end", "undo the nut", "undo that bolt",
    "and do that", "say a name", "say when", "say again what he said", "stay there", "repeat business",
    "repeat after me", "repeat customer", "a new meter", "in four pounds", "what side is it", "what size shoes",
    "what comes of it", "what is lost", "what is for lunch", "what is this", "where is he", "where am i parking",
    "where was he", "what did i say", "which paint", "which cars", "time to check", "time check it tomorrow",
    "time flies", "be quiet then", "what can i do", "what can i pay", "hold the part", "hold the door",
    "hold for the left", "hold it there", "hold on a minute", "back to bed", "back to front", "it is easy",
    "it is freezing", "it is taken", "it is the brakes", "snack time", "snag it over there", "start the engine",
    "start the time sheet", "twenty minutes more", "how long is it", "how long ago", "how lovely", "warning light",
    "warning lights on", "condition one", "air conditioner", "reading glasses", "new part wanted", "new part needed",
    "at right angles", "check the passport", "check the papers", "cannot find him", "park the car",
)  # fmt: skip
"""What a person may well say alone, and does not mean for it: near in sound or in words, of another meaning."""
