"""Needs to rates to what is spread: the pipeline, caps, totals."""
