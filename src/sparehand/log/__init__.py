"""What lasts: events, phase times, memos and names, in files that survive a power cut."""
