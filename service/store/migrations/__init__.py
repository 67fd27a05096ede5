"""Alembic's folder: how to run, and what to run."""
