"""The voice: what is heard, and what is said aloud."""
