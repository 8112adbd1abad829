"""The command line: one short function a command, by who types it."""
