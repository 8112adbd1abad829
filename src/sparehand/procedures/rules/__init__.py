"""The rules that judge a procedure: one family of findings a module."""
