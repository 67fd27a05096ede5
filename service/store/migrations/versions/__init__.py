"""The migrations, oldest first by their `down_revision`."""
