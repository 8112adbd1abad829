"""Speech models: fetched, checked, kept."""
