"""Arrays, limits, bands and wishes one by one, against numbers worked out by hand."""
