"""The seeded brushes, cantings and stamps that drew the masks of the sample designs."""
