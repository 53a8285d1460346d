"""The forms of quarantine, one module for each thing people enter."""
