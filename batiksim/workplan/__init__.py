"""How much of everything a workshop needs, and when: amounts, shopping, steps and times, cautions."""
