"""Lab sheets on screen: their columns, their rows, and results typed in."""
