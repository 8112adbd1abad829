"""What can hurt in a step, by its words: one family a hazard, with what must be said before it.

The words are common practice of the trade, no source; the page of each family in docs/checks names what is published.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from sparehand.procedures.findings import FindingName
from sparehand.procedures.model import Step

Reach = Literal["step", "phase", "earlier"]
"""Where the guard may stand: in the step, anywhere in its phase, or in the step or an earlier one of the operation."""

_BEGINS = r"(?:^|[.,;:]\s+|\band\s+|\bthen\s+)"
"""A verb counts where it gives an order, not inside a sentence."""
_OPENS = (
    r"\b(?:open|disconnect|loosen|slacken|undo|unscrew|unbolt|remove|detach|drain|empty|cut|pull|unplug|take|draw|part"
    r"|release|lift|uncouple|pump|siphon|let|blow|vent|discharge|recover|evacuate|charge|fill)\b"
    r"(?![^.;]{0,80}?\b(?:fuse|relay|gauge|lamp)\b)[^.;]{0,80}?\b"
)
_UNDOES = r"\b(?:remove|undo|slacken|loosen|unscrew|take|lever|let|unwind)\b[^.;]{0,80}?\b"
_AIR_CONDITIONING = r"(?:air[- ]con(?:ditioning|ditioner)?|a/c)"
_PUSHED = r"(?:pedal|button|switch|key|brake|clip|tab|latch|catch|lock|plug|connector)"
_VEHICLE = r"(?:vehicle|car|van|truck|front|rear|body|axle|side)"


@dataclass(frozen=True)
class HazardFamily:
    """A hazard that a step has where `words` match an order in it, or where it is declared.

    It is guarded by a warning in the step; with `guard`, by words found within `reach` in warnings, cautions, orders
    and tools, or in orders and tools alone where it is a deed (`by_deed`) that guards.
    """

    finding: FindingName
    does: str
    remedy: str
    words: re.Pattern[str]
    guard: re.Pattern[str] | None = None
    reach: Reach = "step"
    by_deed: bool = False

    @property
    def hazard(self) -> str:
        """What a step declares in `hazards`."""
        return self.finding.removeprefix("hazard-")


def _any(*words: str) -> re.Pattern[str]:
    return re.compile("|".join(words), re.IGNORECASE)


FAMILIES: tuple[HazardFamily, ...] = (
    HazardFamily(
        "hazard-press",
        "presses",
        "add a warning of what flies off, bursts or crushes",
        _any(
            _BEGINS + rf"press\b(?!\s+(?:[\w-]+\s+){{0,3}}{_PUSHED}\b)",
            r"\b(?:with|on|under|in|using) the (?:\w+ )?press\b(?! (?:cup|kit|tool|plate|frame)s?\b)",
        ),
    ),
    HazardFamily(
        "hazard-heat",
        "heats",
        "add a warning of flame and hot metal, and of what must not be heated",
        _any(_BEGINS + r"(?:heat(?! shrink)|weld|braze)\b", r"\b(?:torch|flame|blow ?lamp|hot[- ]air gun|heat gun)\b"),
    ),
    HazardFamily(
        "hazard-lift",
        "lifts or lowers a load",
        "add a warning that says how it is held and who stands clear",
        _any(
            _BEGINS
            + r"(?:raise|lift|lower|hoist)\s+the\s+(?:vehicle|car|van|truck|axle|engine|gearbox|transmission|subframe"
            r"|mast)\b(?!\s+(?:\w+\s+)?(?:cover|switch|lever|mount|bolt|nut))",
            r"\b(?:let|bring) the (?:lift|vehicle|car|van|truck) down\b",
        ),
    ),
    HazardFamily(
        "hazard-jack",
        "raises the vehicle on a jack",
        "say in this phase that it is set on stands before anyone reaches under it",
        _any(
            rf"\bjack (?:up )?the (?:\w+ )?{_VEHICLE}\b",
            rf"\b(?:raise|lift)\b[^.;]{{0,80}}?\b{_VEHICLE}\b[^.;]{{0,80}}?\b(?:with|on) (?:the|a) (?:\w+ )?jack\b",
            r"\bjack under the (?:\w+ )?(?:sill|side member|cross ?member|jacking point|vehicle|car|axle|body)\b",
        ),
        re.compile(r"\bstands?\b|\btrestles?\b", re.IGNORECASE),
        "phase",
    ),
    HazardFamily(
        "hazard-rolling",
        "puts the parking brake out of use",
        "set wheel chocks in an earlier step, or first in this one",
        _any(
            r"\brelease the (?:parking|hand) ?brake\b",
            r"\blet the (?:parking|hand) ?brake off\b",
            r"\b(?:in|into|to) neutral\b",
            r"\b(?:parking|hand) ?brake\b[^.;]{0,80}?\b(?:into|to) (?:\w+ )?(?:service|workshop)\b",
            r"\b(?:slacken|undo|unhook|disconnect|detach|remove|back|free)\b[^.;]{0,80}?\b(?:parking|hand) ?brake"
            r"(?! (?:lamp|switch|light|fuse|boot|gaiter|console))\b",
        ),
        re.compile(r"\bchock", re.IGNORECASE),
        "earlier",
        by_deed=True,
    ),
    HazardFamily(
        "hazard-spring",
        "works on a loaded spring",
        "add a warning that says how the spring is held or unloaded",
        _any(
            _BEGINS + r"(?:compress|release|unhook|unload)\b[^.]{0,80}?\bsprings?\b(?! clip)",
            _UNDOES + r"(?:piston rod nut|(?:strut|damper)(?:'s)? top nut)\b",
            _UNDOES + r"top nut of the (?:\w+ )?(?:strut|damper)\b",
            _UNDOES + r"(?:off|from) (?:its|the) (?:\w+ )?springs?\b(?! (?:clip|washer))",
            _UNDOES + r"(?:coil|return|torsion|leaf|gas) (?:springs?|bar)\b",
        ),
    ),
    HazardFamily(
        "hazard-high-voltage",
        "works on high voltage",
        "add a warning: who may do it, made dead, locked out, waited for and measured",
        _any(
            r"\bhigh[- ]voltage\b",
            r"\b(?:traction|drive|hybrid) battery\b|\b(?:hybrid|traction) system\b|\bpower electronics\b",
            r"\belectric drive (?:unit|motor)\b|\bphase cables?\b",
            r"\b(?:charging|charge) (?:\w+ )?(?:socket|inlet|port)\b|\bHV\b|\bbattery disconnect\b",
            r"\borange (?:[\w-]+ )?(?:cables?|plugs?|connectors?|leads?|lines?|harness)\b",
            r"\bservice (?:plug|disconnect)\b",
            r"\binverter\b",
        ),
    ),
    HazardFamily(
        "hazard-restraint",
        "works on a restraint that a charge fires",
        "add a warning: battery off, the maker's wait, and how it is carried and laid down",
        _any(
            r"\bair ?bags?\b(?! (?:of the|for the) (?:\w+ )?(?:suspension|axle))(?! (?:lamp|light|fault))",
            r"\b(?:belt |seat ?belt )?pre-?tensioners?\b",
            r"\bseat ?belt (?:tensioner|reel)\b|\b(?:tensioner|reel) of the (?:[\w']+ )?seat ?belt\b",
            _OPENS + r"steering wheel(?! (?:trim|clamp|lock))\b",
        ),
    ),
    HazardFamily(
        "hazard-fuel",
        "opens a fuel system",
        "add a warning of fire and vapour: no flame, pressure let off, extinguisher at hand",
        _any(
            _OPENS + r"(?:fuel|petrol|diesel|gasoline|LPG)(?! (?:\w+ )?(?:flap|cap|lid|door))\b",
            _OPENS + r"injectors?(?! (?:plug|connector|cover|wiring|harness))\b",
            _OPENS + r"(?:high[- ]pressure pump|common rail|injection rail)\b",
            r"\b(?:drain|take|lower|remove|empty|out of) the tank\b(?! (?:cover|cap|flap|panel))",
        ),
    ),
    HazardFamily(
        "hazard-refrigerant",
        "opens a refrigerant circuit",
        "add a warning: recovered first by who is allowed to, goggles and gloves, air",
        _any(
            _OPENS + r"refrigerant\b",
            r"\b(?:evacuate|recover|charge|fill)\b[^.;]{0,80}?\b" + _AIR_CONDITIONING + r"\b",
            _OPENS + _AIR_CONDITIONING + r" (?:lines?|pipes?|hoses?|ports?|circuit|system)\b",
            _OPENS + r"(?:lines?|pipes?|hoses?|ports?) of the " + _AIR_CONDITIONING + r"\b(?! compressor)",
            _OPENS + r"(?:expansion valve|evaporator|(?<!fan of the )condenser|receiver drier)\b",
        ),
    ),
    HazardFamily(
        "hazard-exhaust-gas",
        "runs an engine",
        "say that the exhaust gas is led away: extraction on the tail pipe, or doors open",
        _any(
            r"\b(?:start|run|idle|rev|crank|warm)(?: up)? the (?:engine|motor)\b"
            r"(?! (?:\w+ )?(?:bay|cover|mounts?|hoist|beam|stand|crane|support|harness|bolts?))",
            r"\blet the (?:engine|motor) (?:run|idle|warm)|\bat idle\b|\b(?:engine|motor) idling\b",
        ),
        re.compile(
            r"\bgas(?:es)?\b|\bfumes\b|\bextract|\bventilat|\boutdoors\b|\bopen air\b|\bdoors?\b", re.IGNORECASE
        ),
    ),
    HazardFamily(
        "hazard-moving-parts",
        "works at parts that turn or move",
        "add a warning: what turns or starts by itself, and what stays clear of it",
        _any(
            r"\b(?:running|turning|spinning|rotating) (?:engine|motor|belt|fan|shaft|wheel|disc|pulley|chain|rotor)\b",
            r"\bwith the (?:engine|motor) running\b|\b(?:let|make) the \w+ (?:spin|turn)\b",
            _BEGINS + r"(?:drill|mill|hone|ream)\b",
        ),
    ),
    HazardFamily(
        "hazard-hot-parts",
        "works at hot parts or hot fluid",
        "add a warning: let it cool, or gloves made for heat",
        _any(
            _OPENS + r"(?:exhaust(?! gas)|catalyst|catalytic converter|turbo(?:charger)?|(?:down|front) ?pipe)\b",
            _OPENS + r"(?<!inlet )(?<!intake )manifold\b",
            r"\b(?:open|remove|undo|take)\b[^.;]{0,80}?\bcap (?:of|off|from) the (?:expansion tank|radiator)\b",
            r"\b(?:open|remove|undo)\b[^.;]{0,80}?\b(?:radiator|coolant|expansion tank) cap\b",
            r"\bdrain\b[^.;]{0,80}?\b(?:coolant|hot|(?:engine|gear|gearbox) oil)\b",
        ),
    ),
    HazardFamily(
        "hazard-dust",
        "makes or frees dust that harms the lungs",
        "say it before: a mask, wet it, no compressed air",
        _any(
            _BEGINS + r"(?:grind|sand|wire[- ]?brush)\b",
            r"\bwith (?:the|a) (?:wire brush|grinder|cutting disc)\b",
            r"\b(?:blow|brush)\b[^.;]{0,80}?\b(?:drum|brake|clutch|caliper|dust)\b",
            r"\b(?:drum|brake|clutch|caliper)\b[^.;]{0,80}?\bcompressed air\b",
            r"\b(?:take|remove|hang|lift|pull)\b[^.;]{0,80}?\b(?:pads|brake shoes|call?iper|brake drum|clutch disc)\b",
        ),
        re.compile(r"(?<!brake )\bdust\b|\bmask\b|\blungs\b|\bbreath", re.IGNORECASE),
        "earlier",
    ),
)
_BY_FINDING = {family.finding: family for family in FAMILIES}
_FORBIDS = re.compile(r"^(?:do not|don't|never|no one|nobody)\b.*|\bwithout\b.*", re.IGNORECASE)


def has_hazard(step: Step, family: HazardFamily) -> bool:
    """Whether the step declares the hazard, or orders what brings it; a sentence that forbids is no order."""
    return family.hazard in step.hazards or family.finding in _ordered(step.say)


@lru_cache(maxsize=4096)
def _ordered(say: str) -> frozenset[FindingName]:
    """What the words of a step order; kept, since each operation reads its shared steps again."""
    orders = [_FORBIDS.sub("", order) for order in re.split(r"(?<=[.;])\s+", say)]
    return frozenset(family.finding for family in FAMILIES if any(family.words.search(order) for order in orders))


def declares_or_says(step: Step, finding: FindingName) -> bool:
    """Whether the step has the hazard that `finding` is about."""
    return has_hazard(step, _BY_FINDING[finding])
