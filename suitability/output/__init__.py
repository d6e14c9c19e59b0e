"""Showing what is already decided."""
