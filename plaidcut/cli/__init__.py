"""The command line: it asks, calls the tasks, and shows."""
