"""Weather as it comes to a field: read by hand, from a report, from winds aloft, from an hourly forecast."""
