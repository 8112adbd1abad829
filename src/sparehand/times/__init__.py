"""How long work took and will take: phase times, what is counted of them, what they add up to, what is expected."""
