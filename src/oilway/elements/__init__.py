"""Elements: one module each, with ports, records, unknowns and the terms they add to the balances."""
