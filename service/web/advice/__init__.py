"""Advice as the service gives it: what it rests on, the jobs that work it out, making a change of it, showing it."""
