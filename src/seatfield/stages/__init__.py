"""Stages: pure functions from a project and earlier results to a result with findings."""
