"""The paddock map: one widget that blits tiles, and the layers it shows."""
