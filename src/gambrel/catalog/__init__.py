"""What hangs and what it is cut into: kinds, animals, cuts, pieces and the ways they are broken."""
