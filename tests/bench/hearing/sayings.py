"""What the talkers say: commands of every kind, what lies near to them and means something else, and short replies."""

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

NATURAL_COMMANDS = (
    "next one", "move on", "let's move on", "keep going", "on to the next step", "that's done", "that is done",
    "this is done", "it's done", "it is done", "step is done", "this one is done", "start the next phase",
    "go to the next phase", "this phase is done", "go back one step", "back one step", "one step back",
    "the step before", "skip it for now", "leave this for later", "leave it for later", "come back to this later",
    "do this one later", "undo the last step", "take it back", "scratch that", "say that one more time",
    "one more time please", "what was that", "repeat that", "read it again", "what is this step", "what's this step",
    "tell me the step", "what do i do here", "what's the torque", "how tight", "how tight is it",
    "how tight should it be", "torque spec", "what's the spec", "what is the torque spec", "torque value",
    "what torque is it", "tell me the torque", "give me the torque", "how much torque", "what is that in foot pounds",
    "how many foot pounds", "torque spec in foot pounds", "what is that in newton metres", "how many newton metres",
    "torque spec in newton metres", "what's the size", "what is the size", "what size socket", "which size",
    "what size wrench", "what socket", "which wrench", "what's next", "what is next", "what do i do next",
    "anything loose", "is anything loose", "anything still loose", "is anything still loose", "what is not tight yet",
    "what's left to tighten", "what is left to tighten", "where are we", "what step is this", "which step is this",
    "what step am i on", "which step am i on", "what have i skipped", "anything skipped", "which steps were skipped",
    "what parts do i need", "which parts do i need", "list the parts", "what tools do i need",
    "which tools do i need", "how much time so far", "how long have i been at it", "how am i doing for time",
    "what is my time so far", "what is the warning", "any warnings", "what should i watch for", "what are my options",
    "i need help", "what can i ask you", "hold it for parts", "i need parts", "we need parts",
    "i'm waiting for parts", "waiting on parts", "waiting for approval", "waiting on the customer", "hold for lunch",
    "pause for lunch", "lunch break", "going to lunch", "i'm going to lunch", "coffee break", "take a break",
    "break time", "carry on", "let's carry on", "i'm back", "resume work", "continue working", "back on the job",
    "it's stuck", "it is stuck", "bolt is stuck", "the bolt is stuck", "nut is stuck", "the nut is stuck",
    "the bolt is seized", "it won't move", "it's rusted solid", "the bolt is broken", "the bolt broke",
    "bolt snapped", "the bolt snapped", "it snapped", "it's free now", "it is free now", "it's moving now",
    "start timing", "timer on", "how long to go", "how much time is left", "how much is left on the timer",
    "turn the timer off", "i understood the warning", "i have read the warning", "got the warning",
    "it is in good condition", "it looks good", "looks good to me", "it is worn", "it's worn", "it looks worn",
    "it is worn out", "must be replaced", "it must be replaced", "replace it", "it needs to be replaced",
    "new part is in", "the new part is in", "fitted a new one", "i fitted a new one", "i made the mark",
    "i have marked it", "it passed the check", "the check passed", "yes please confirm", "yes that's right",
    "yes that is correct", "no that's wrong", "no don't do that", "no forget it", "let's start the job",
    "start work on this job", "let's get started", "park it for now", "leave the job for now", "finish the job",
    "the job is finished", "the job is done", "timer half an hour", "set a timer for ten minutes",
    "start a timer for five minutes", "that's it for today", "i'm on the phone", "i can't reach it",
    "it won't tighten", "go to the next step please", "what's the next step", "on the left hand side",
    "stop the timer", "read me the torque again", "what does it need to be torqued to", "we're done here",
    "hang on i need parts", "what's holding this on", "is that tight enough",
)  # fmt: skip
"""Natural ways to say the commonest commands; the last few are not in the table and count as missed."""

OPPOSITE_COMMANDS = (
    "no new part fitted", "new part not fitted", "the old part fitted", "stop the job", "stop the timer",
    "don't start the job", "don't start the timer", "never mark done", "don't mark it done", "not done", "isn't done",
    "condition not good", "condition bad", "it is not good", "condition isn't worn", "check not passed", "check failed",
    "not at ride height", "it is not at ride height", "the mark is not made", "the mark is missing", "mark is lost",
    "warning not understood", "i don't understand the warning", "don't close the job", "don't park the job",
    "not the next step", "no next step", "don't go back", "never go back", "don't skip this step", "not seized",
    "it is not seized", "it isn't broken", "it is not stripped", "the snag is not over", "don't undo that",
    "not back to work", "no wait for parts", "not waiting for parts", "don't hold for parts", "don't cancel the timer",
    "no confirm", "yes cancel", "don't confirm", "customer not approved by phone", "the boss forbids it",
    "the customer declined the order", "not tightened by maker data", "second check not done",
    "second check is not done", "don't start tightening again", "old part not kept", "voice on", "don't stop listening",
    "thread holds", "the thread does hold", "can tighten", "the vehicle is not lifted", "front wheels are down now",
    "the gap was no work", "the gap was not a hold", "don't keep a memo", "no need to replace it",
)  # fmt: skip
"""What denies a command, or says its opposite: at most one in fifty may be acted on."""

FRAGMENTS = (
    "left", "right", "side", "off", "on", "done", "mark", "step", "phase", "torque", "size", "loose", "parts", "time",
    "check", "passed", "good", "worn", "fitted", "new part", "height", "ride height", "the job", "the timer", "start",
    "close", "park", "hold", "hold for", "for parts", "to work", "back", "go", "undo", "that", "say", "again", "what",
    "which", "where", "warning", "understood", "confirm", "yes", "no", "cancel", "reading", "timer", "minutes",
    "condition", "it is", "tighten", "newton metres", "foot pounds", "much longer", "comes next", "skip", "snag",
    "over", "listening",
)  # fmt: skip
"""Parts of commands, which are none."""

_EDGED = (
    ("okay", "next", ""), ("", "next", "please"), ("", "mark done", "thanks"), ("okay", "mark done", ""),
    ("", "mark done", "mate"), ("so", "what size", ""), ("right", "next step", ""), ("", "what is loose", "please"),
    ("uh", "repeat torque", ""), ("okay so", "next phase", ""), ("please", "say again", ""), ("", "go back", "please"),
    ("", "hold for parts", "please"), ("okay", "back to work", ""), ("well", "where am i", ""),
    ("", "time check", "thanks"), ("um", "what comes next", ""), ("", "undo that", "please"),
    ("okay", "start the timer", ""), ("", "what can i say", "please"), ("now", "next step", ""),
    ("", "which parts", "then"), ("", "condition worn", "mate"), ("alright", "new part fitted", ""),
    ("", "it is seized", "mate"), ("", "check passed", "thanks"), ("", "yes confirm", "please"),
    ("okay", "yes confirm", ""), ("", "park the job", "please"), ("hey", "how much longer", ""),
    ("er", "skip this step", ""), ("please", "be quiet now", ""),
)  # fmt: skip
EDGED_COMMANDS = {" ".join(filter(None, (before, core, after))): core for before, core, after in _EDGED}
"""Commands with the hesitation and the politeness of people around them, and what each is without."""

REPLIES = (
    "is it broken", "turn it off", "that's the one", "six two one", "it's tight", "yeah", "no", "right", "okay", "sure",
    "time for a break", "go home", "he signed it", "twenty five", "not yet", "which one", "the left one", "over there",
    "say that again", "what did you say", "hang on", "hold on", "half past three", "is it done", "nearly done",
    "it's done", "how long", "five minutes", "what size is that", "thirteen i think", "pass me that", "there you go",
    "thank you", "what's next", "lunch next", "is it loose", "it was loose", "check it again", "looks good",
    "looks worn",
    "the other side", "back a bit", "stop there", "good enough", "no way", "did he call", "parts are here", "ready",
    "one more", "two more", "what torque is it", "forty five", "i know", "never mind", "that is right", "that is wrong",
)  # fmt: skip
"""What two people who work side by side say to each other, many of them near to commands."""

NAMED_QUESTIONS = (
    "torque for the wheel bolts", "torque for through bolt", "what is the torque for the bracket bolts",
    "torque for arm bolts in foot pounds", "torque for the hanger nut in newton metres", "size for the cover screw",
    "which socket for the through bolt", "what holds the through bolt", "what holds bracket bolts",
    "part number for engine mount", "how many hanger nut", "how many arm bolts", "what comes after fit mount",
    "which tools for press the bush", "which tool for remove wheel", "time on phase remove mount",
    "what did i tighten here", "what is left on this side", "what comes after that",
)  # fmt: skip
"""Questions by the names of the demonstration of engine mounts."""

NEAR_NAMED = (
    "torque for the wheel", "the torque for the job", "torque for those bolts", "torque the wheel bolts",
    "torque the through bolt", "wheel bolts", "the wheel bolts", "through bolt", "size of the bolts",
    "size for the door", "which socket set", "which socket for that", "what holds it", "what holds the door",
    "who holds the mount", "part number", "part number for the filter", "how many bolts", "how many people",
    "how many hours", "what comes after lunch", "what comes after", "which tools for lunch", "which tool box",
    "time on the phone", "fit the mount", "remove the wheel", "press the bush", "close it up", "hang the exhaust",
    "what did i tell you", "what is left", "what is left for us", "and after lunch", "what is on this side",
)  # fmt: skip
"""What is near to a question by name, and none."""
