"""A picture taken apart: dyes, their order and strengths, what to wax before each, and where to brush."""
