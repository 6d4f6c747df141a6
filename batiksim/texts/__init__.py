"""Every sentence a maker reads, by key, for terminal, page and print: one catalogue for each language."""
