"""What every room stands on: clock, ids, errors, places, choices."""
