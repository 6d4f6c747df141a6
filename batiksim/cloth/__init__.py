"""What happens on the cloth: masks, wax, pots, and the engine that runs the steps. Arrays only."""
