"""The API under /api/v1: the same powers as the pages, described by OpenAPI 3.1."""

BLUEPRINTS: tuple = ()
