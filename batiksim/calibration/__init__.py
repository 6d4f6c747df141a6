"""Calibration: a maker's own dyes from pieces of cloth she dyed, and how far each is to be trusted.

The model that is fitted is the one that predicts (`cloth`): K = K_cloth + sum(load * k), k = exp(u) with u smooth. All
measured pieces are matched at once. Build-up is linear unless a dye's own strength ladder shows otherwise: each law has
to foretell rungs it was not fitted to. Held-out errors are true ones: for each piece, everything is fitted again
without it.
"""
