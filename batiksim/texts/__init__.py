"""Every sentence a maker reads, by key, for command line, page and print."""
