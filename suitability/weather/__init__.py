"""Hourly records one can trust: read, check, fetch, keep, choose."""
