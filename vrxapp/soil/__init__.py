"""Laboratory results: the table, its checks, and the results of each place."""
