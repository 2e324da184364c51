"""The earth's surface: coordinate systems, areas, the paddock, its exclusions and zones."""
