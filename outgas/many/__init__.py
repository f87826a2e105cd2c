"""Many cases at once: maps, tables of jobs, draws of what is uncertain, a chart for the wall."""
