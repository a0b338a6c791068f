"""Sound as numbers: sweeps out, recordings in; filters, decays, delays and positions as values.

The engine takes arrays with a sample rate and returns arrays and frozen values. It knows no room plan, no
channel names and no file. Import the module whose subject you need; nothing is loaded before that.
"""
