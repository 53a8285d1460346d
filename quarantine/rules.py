"""Quarantine's rules on who may meet whom; each is the sentence that holds."""
