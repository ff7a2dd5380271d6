"""What only a real browser can tell: pages printed, widths, contrast, requests."""
