"""The computing core: arrays in, arrays out; no files, no clock, no plants, no places."""
