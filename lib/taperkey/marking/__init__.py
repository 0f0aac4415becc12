"""Room: marking."""
