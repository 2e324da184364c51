"""How to find out: check strips that get nothing."""
