"""The sheets to the right of the map, one a stage."""
