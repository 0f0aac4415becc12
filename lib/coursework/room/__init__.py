"""Room: classroom."""
