"""batiksim: see every stage of a batik cloth before the wax is melted."""
