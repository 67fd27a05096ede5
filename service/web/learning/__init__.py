"""Learning from flight logs as the service gives it: what it rests on, accepting a proposal, taking it back."""
