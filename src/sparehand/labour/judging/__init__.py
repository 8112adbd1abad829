"""How good forecasts are."""
