"""The terminal: one module a verb."""
