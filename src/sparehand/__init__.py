"""Sparehand: an offline, hands-free voice-and-timer bench assistant with a job-time log."""

__version__ = "0.1.0"
