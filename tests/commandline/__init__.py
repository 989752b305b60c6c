"""What a person at the terminal gives and gets: commands, refusals, exit codes."""
