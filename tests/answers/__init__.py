"""Tests of what answers say."""
