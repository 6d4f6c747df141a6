"""What the eye sees: spectra, how dyes mix, colour spaces, names. Arrays in, new arrays out; only numpy."""
