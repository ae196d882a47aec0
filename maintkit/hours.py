"""How long a week and a year are, in hours and in days."""

HOURS_PER_WEEK = 168.0
HOURS_PER_YEAR = 8766.0
DAYS_PER_YEAR = 365.25
