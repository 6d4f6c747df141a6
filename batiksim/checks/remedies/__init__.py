"""Changes that may mend a finding, tried out on the design."""
