"""The model of phase times, fitted."""
