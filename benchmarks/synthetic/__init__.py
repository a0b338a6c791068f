"""Inputs made up for the benchmarks."""
