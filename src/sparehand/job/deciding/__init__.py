"""How each command is decided, by what it concerns. Every function here is pure."""
