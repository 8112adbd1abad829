"""How each answer is worded, by what it is about. Every function here is pure."""
