"""From the fitted model to forecasts and quotes."""
