"""One module per command; each holds `command`."""
