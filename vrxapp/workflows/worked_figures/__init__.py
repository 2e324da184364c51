"""Single figures that an agronomist works out at the desk, each out of one function of the core."""
