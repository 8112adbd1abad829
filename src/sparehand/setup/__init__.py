"""The first run, and what this machine has."""
