"""Bytes in, values out: what machines wrote, read without judgement and without ever failing."""
