"""What the talkers say: commands of every kind, and 80 near-commands that mean something else."""

from __future__ import annotations

COMMANDS = (
    "next", "next step", "mark done", "next phase", "go back", "skip this step", "undo that", "say again",
    "repeat step", "repeat torque", "in newton metres", "in foot pounds", "what size", "what comes next",
    "what is loose", "where am i", "what did i skip", "which parts", "time check", "be quiet now", "what can i say",
    "hold for parts", "hold for the lift", "back to work", "it is seized", "snag over", "start the timer",
    "timer twenty minutes", "how long left", "warning understood", "condition worn",
    "torque reading four six decimal five", "new part fitted", "at ride height", "check passed", "cannot tighten",
    "yes confirm", "no cancel", "park the job", "close the job",
)  # fmt: skip
"""Forty commands, with the short and the risky ones, two of them with a number."""

NEAR_COMMANDS = (
    "be quick now", "what sides", "next job", "next week", "next time", "next patient", "next door", "the other one",
    "mark them", "mark is here", "mark down", "mark's gone", "dark stone", "go bag it", "go back home", "go bad",
    "skip the lot", "skip this stuff", "ship this step", "undo the nut", "undo that bolt", "and do that",
    "say a name", "say when", "say again what he said", "stay again", "repeat business", "repeat talk",
    "repeat customer", "a new meter", "in foot powder", "what sights", "what size shoes", "what comes of it",
    "what is lost", "what is lunch", "what is this", "where is he", "where am i parking", "where was he",
    "what did i say", "which pants", "which cards", "time to check", "time check it tomorrow", "time flies",
    "be quiet then", "what can i do", "what can i pay", "hold the part", "hold for cards", "hold for the left",
    "hold it there", "hold on a minute", "back to words", "back to front", "it is easy", "it is freezing",
    "it is token", "it is spoken", "snack over", "snag it over there", "start the engine", "start the time sheet",
    "time is twenty minutes", "how long is it", "how long ago", "how lovely", "warning light",
    "warning was a blunder", "condition one", "air condition worn", "talk reading four six", "new park fitted",
    "new part needed", "at right angles", "czech passport", "check the past", "can not fight him", "park the car",
)  # fmt: skip
"""What a person may well say alone, and does not mean for it: near in sound or in words, of another meaning."""
