"""The torque wrench in hand, an extension on it, and a second person's look."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.deciding.decide_moving import answering, ask_for
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import (
    BenchAlive,
    ExtensionChanged,
    LessonKept,
    LineAdded,
    LineNoted,
    PressSizeFitted,
    Question,
    QuestionAsked,
    TighteningChecked,
    ToolsCounted,
    WrenchChosen,
)
from sparehand.job.fasteners import is_final
from sparehand.job.obligations import obligations, present_tightening
from sparehand.job.run_tools import tools_of_run
from sparehand.job.state import JobState
from sparehand.procedures.plan import FastenerKey
from sparehand.procedures.quantities import TorqueValue
from sparehand.procedures.wording import counted, quantity_shown
from sparehand.procedures.wrenches import wrench_setting

LONGEST_EXTENSION_MM = 2_000


def use_wrench(_state: JobState, command: c.UseWrench, context: Context) -> Decision:
    """Take a wrench of the shop's list into use."""
    wrench = next((one for one in context.experience.wrenches if one.name == command.wrench), None)
    if wrench is None:
        return refuse("No such wrench is in the shop's list.", "use wrench, and a name of the list")
    return tell("wrench", WrenchChosen(wrench=wrench))


def extension_in_line(state: JobState, command: c.ExtensionInLine, _context: Context) -> Decision:
    """An extension changes the setting; its length is read back and counts only when confirmed."""
    wrench = state.progress.wrench
    if wrench is None:
        return refuse("Nobody said which wrench is used.", "use wrench, and its name")
    if wrench.length_mm is None:
        return refuse(f"The shop's list does not say how long wrench {wrench.name} is.", "extension is off")
    length = float(command.digits)
    if not 0 < length <= LONGEST_EXTENSION_MM:
        return refuse("That is no length of an extension, in millimetres.", "extension in line, and the digits")
    return tell("question", QuestionAsked(question=Question(kind="extension", about=wrench.name, value=length)))


def extension_now(_state: JobState, question: Question, _context: Context) -> Decision:
    """The length was confirmed."""
    return tell("extension", ExtensionChanged(extension_mm=question.number))


def at_right_angle(state: JobState, _command: c.ExtensionAtRightAngle, _context: Context) -> Decision:
    """There is nothing to correct; an extension in line before is off."""
    return tell("right angle", *((ExtensionChanged(),) if state.progress.extension_mm else ()))


def extension_off(state: JobState, _command: c.ExtensionOff, _context: Context) -> Decision:
    """The wrench is used as it is."""
    if state.progress.extension_mm is None:
        return refuse("No extension is on the wrench.", "repeat torque")
    return tell("extension off", ExtensionChanged())


def second_check(state: JobState, command: c.SecondCheck, _context: Context) -> Decision:
    """A second person has checked what this step tightened; nobody checks their own work."""
    crew = state.progress.crew
    by = command.technician or next((name for name in crew.names if name != crew.acting), "a second person")
    keys = [FastenerKey(id, state.side) for id in state.step.tightens]
    final = [key for key in keys if _final(state, key)]
    if not final or len(final) < len(keys):
        return refuse("Nothing is finally tightened at this step.", "mark done")
    if by == crew.acting:
        return refuse("A second person has to check it.", "second check by, and a name")
    return tell("second check", *(TighteningChecked(fastener=key, by=by) for key in final), about=by)


def setting(state: JobState) -> TorqueValue | None:
    """What to set on the wrench for the present stage, where an extension is in line: never the joint's torque."""
    present, wrench, extension = present_tightening(state), state.progress.wrench, state.progress.extension_mm
    if present is None or present.target.torque is None or wrench is None or extension is None:
        return None
    return wrench_setting(present.target.torque, wrench.length_mm or 0.0, extension)


def _final(state: JobState, key: FastenerKey) -> bool:
    fastening = state.progress.fastenings.get(key)
    return fastening is not None and is_final(state.plan.procedure.fastener(key.fastener), fastening)


def tools_back(state: JobState, _command: c.ToolsBack, context: Context) -> Decision:
    """The tools of the run are counted, once all else at the step is answered."""
    missing = tuple(tool.id for tool in tools_of_run(state) if tool.id not in state.progress.tools_back)
    if not missing:
        return refuse("No tool is to be counted.", "which tools")
    open_now = obligations(state)
    if open_now and open_now[0].duty != "tools":
        return ask_for(open_now[0])
    event = ToolsCounted(tools=missing)
    if not open_now:
        return tell("noted", event, about="all tools are back")
    return answering(state, "noted", event, context, about="all tools are back")


def press_size_fits(state: JobState, command: c.PressSizeFits, _context: Context) -> Decision:
    """The size is read back; confirmed, it is a lesson for whoever does this step next."""
    if "press" not in state.step.hazards:
        return refuse("Nothing is pressed at this step.", "keep a lesson")
    question = Question(kind="press size", about=state.step.id, value=float(command.digits), unit="mm")
    return tell("question", QuestionAsked(question=question))


def press_size_now(state: JobState, question: Question, _context: Context) -> Decision:
    """The size was confirmed."""
    size = quantity_shown(question.number, question.unit or "")
    fitted = PressSizeFitted(at=state.progress.at, size_mm=question.number)
    lesson = LessonKept(at=state.progress.at, words=f"Press size {size} fitted.")
    return tell("noted", fitted, lesson, about=f"press size {size}")


def helper_for(state: JobState, command: c.HelperFor, _context: Context) -> Decision:
    """The minutes of a second person are a line of this job: worked, and not sold apart."""
    line = len(state.progress.visit.lines) + 1
    events = (
        LineAdded(work="helper", minutes=command.minutes),
        LineNoted(line=line, reference=state.phase.phase.title),
    )
    return tell("noted", *events, BenchAlive(), about=f"helper, {counted(command.minutes, 'minute')}")
