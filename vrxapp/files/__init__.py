"""Every file format: one format a file, checked before it is put in place."""
