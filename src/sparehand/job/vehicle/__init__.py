"""The vehicle as far as the record knows it, and what contradicts it. Every function here is pure."""
