"""Rangehand: launch-day range planning for hobby rocketry."""
