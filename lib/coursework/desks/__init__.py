"""A class at its desks: one server, a page kernel an apprentice inside it, nothing to install."""
