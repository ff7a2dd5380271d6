"""One file per published source: the reference, the arithmetic written out, and how far the source was read."""
