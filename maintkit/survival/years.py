"""How long a year is, in hours and in days."""

HOURS_PER_YEAR = 8766.0
DAYS_PER_YEAR = 365.25
