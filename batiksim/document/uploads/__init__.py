"""What a maker brings along: pictures that become masks or a new cloth, photos to learn from."""
