"""Where records come from: one module a source."""
