"""The shared database of a shop: what a bench sends to it, and its copy of what the others sent."""
