"""How long the next job takes: evidence of the times, the fitted model, forecasts, and how good they were."""
