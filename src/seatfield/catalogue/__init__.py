"""Published tables with their citations: sound systems, conductors, absorption, formats, limits."""
