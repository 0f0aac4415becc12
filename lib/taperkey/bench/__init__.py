"""Room: bench."""
