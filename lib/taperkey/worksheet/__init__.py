"""Room: worksheet."""
