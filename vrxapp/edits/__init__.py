"""What the user can do to a season or a farm, one module a stage; each returns a new value."""
