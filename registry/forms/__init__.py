"""The forms people fill in, one module for each place."""
