"""Day zero, what is unmet and the best release day of a batch: pure, and each answer has its date.

true_on(facts, day) -> Reading      all facts dated up to the day, as known today
known_on(facts, day) -> Reading     the same, entries made later left out
NotOpened                           the batch was not open on that day, or not known to be
"""
