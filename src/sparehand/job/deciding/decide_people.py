"""Who comes to a job, leaves it, and speaks."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import Event, TechnicianActs, TechnicianJoined, TechnicianLeft
from sparehand.job.state import JobState


def speaks(state: JobState, command: c.TechnicianSpeaks, _context: Context) -> Decision:
    """Another one speaks; said by the one who speaks already it only says so."""
    crew = state.progress.crew
    if command.technician not in crew.names:
        return refuse(f"{command.technician} is not on this job.", "that name, then joins the job")
    if command.technician == crew.acting:
        return tell("crew")
    return tell("crew", TechnicianActs(technician=command.technician))


def joins(state: JobState, command: c.TechnicianJoins, _context: Context) -> Decision:
    """One more on the job, who speaks from now on."""
    if command.technician in state.progress.crew.names:
        return refuse(f"{command.technician} is on this job already.", "that name, then is speaking")
    name = command.technician
    return tell("crew", TechnicianJoined(technician=name), TechnicianActs(technician=name))


def leaves(state: JobState, command: c.TechnicianLeaves, _context: Context) -> Decision:
    """One fewer, unless nobody would be left."""
    names = state.progress.crew.names
    if command.technician not in names:
        return refuse(f"{command.technician} is not on this job.", "who is on the job")
    if len(names) == 1:
        return refuse("Nobody would be left on the job.", "park the job, or hand over to, and a name")
    return tell("left", TechnicianLeft(technician=command.technician), about=command.technician)


def hand_over(state: JobState, command: c.HandOver, _context: Context) -> Decision:
    """The one who speaks goes, another takes the work on."""
    crew, name = state.progress.crew, command.technician
    if name == crew.acting:
        return refuse(f"{name} has the job already.", "who is on the job")
    joining: tuple[Event, ...] = () if name in crew.names else (TechnicianJoined(technician=name),)
    acting = crew.acting
    return tell("handed over", *joining, TechnicianActs(technician=name), TechnicianLeft(technician=acting), about=name)
