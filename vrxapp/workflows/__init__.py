"""What screen and terminal share: open files into a season, hand over."""
