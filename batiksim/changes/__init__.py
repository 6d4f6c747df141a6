"""Changes of a design as data: every verb that the page, a remedy or a program can ask for, and what makes it."""
