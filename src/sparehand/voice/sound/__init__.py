"""Sound: sources, filters, level, the devices."""
