"""What a machine can do, and the rate map that every prescription file reads back to."""
