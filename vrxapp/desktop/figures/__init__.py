"""Figures worked out at the desk, rules explained, and the bibliography, in one window."""
