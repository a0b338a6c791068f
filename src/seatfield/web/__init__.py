"""The workbench's server: a JSON API and one socket over a project folder, on this machine only."""
