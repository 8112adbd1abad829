"""The phrase table and what it is read from."""
