"""What wax and dye do beside the drawn mask: cracks, the marks of tools, dye that creeps."""
