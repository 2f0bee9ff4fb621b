"""The air outside when nothing measured it."""

STANDARD_ATMOSPHERE = 101_325.0  # Pa at sea level; ISO 2533:1975, table 1
