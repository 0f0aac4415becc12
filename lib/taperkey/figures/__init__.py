"""Room: figures."""
