"""Quarantine in the administration pages."""
