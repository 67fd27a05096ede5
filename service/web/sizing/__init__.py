"""Sizing a field as a page and in the API: what was sent, and the work that rests on it."""
