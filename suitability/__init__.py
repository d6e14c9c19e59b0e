"""Where a tender orchid can live, and when it must move, from hourly temperature records."""
