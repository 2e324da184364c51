"""What each place needs: one file a decision, pure functions over columns of places."""
