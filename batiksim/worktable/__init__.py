"""The worktable: a page on this machine's own browser where a cloth is planned by looking and trying."""
