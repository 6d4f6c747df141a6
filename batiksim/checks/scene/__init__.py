"""The cloth as the checks see it: its regions and their neighbours, its masks, in millimetres."""
