"""The window that makes zones from data: what from, how, and what came of it."""
