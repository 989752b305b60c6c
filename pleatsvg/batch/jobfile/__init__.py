"""The job file, read with the line of every key, and written."""
