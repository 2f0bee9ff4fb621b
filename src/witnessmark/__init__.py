"""Witnessmark: run-in plans and verdicts for freshly built engines."""
