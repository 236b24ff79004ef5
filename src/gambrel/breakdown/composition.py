"""Shares that add to 1, in log-ratio coordinates and back.

Isometric log-ratio coordinates after Egozcue et al., "Isometric logratio transformations for compositional data
analysis", Mathematical Geology 35, 2003, building on Aitchison, "The Statistical Analysis of Compositional
Data", 1986: distances between compositions are kept, and every point maps back to shares that add to 1.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def ilr_basis(parts: int) -> Floats:
    """Orthonormal rows (parts - 1, parts), each summing to 0: part i against the geometric mean of those before."""
    basis = np.zeros((parts - 1, parts))
    for row in range(1, parts):
        basis[row - 1, :row] = 1.0 / row
        basis[row - 1, row] = -1.0
        basis[row - 1] *= np.sqrt(row / (row + 1.0))
    return basis


def to_coordinates(shares: Floats) -> Floats:
    """Coordinates (..., parts - 1) of positive shares (..., parts); rows need not add to 1."""
    coordinates: Floats = np.log(shares) @ ilr_basis(shares.shape[-1]).T
    return coordinates


def to_shares(coordinates: Floats) -> Floats:
    """Shares (..., parts) adding to 1 from coordinates (..., parts - 1); far points do not overflow."""
    logs = coordinates @ ilr_basis(coordinates.shape[-1] + 1)
    logs = logs - logs.max(axis=-1, keepdims=True)
    shares: Floats = np.exp(logs)
    shares /= shares.sum(axis=-1, keepdims=True)
    return shares


def fill_by_amalgamation(shares: Floats, usual: Floats) -> Floats:
    """Positive shares (n, parts) adding to 1 from rows with zeros, gaps (NaN) or a remainder.

    What was not weighed by itself was weighed with something else or not at all. A gap takes what the row lacks
    to 1; a zero is amalgamated with the row's largest weighed part. Each amalgam is then split in the proportion
    of the `usual` shares (parts,), so that the test still tells the total of the parts it could not tell apart.
    No row is dropped. Rows must hold at least one weighed part and add to at most 1.
    """
    filled = np.array(shares, dtype=float)
    for row in filled:
        gaps = np.isnan(row)
        if gaps.any():
            rest = max(1.0 - float(row[~gaps].sum()), 0.0)
            row[gaps] = rest * usual[gaps] / usual[gaps].sum()
        zeros = row <= 0.0
        if zeros.any():
            largest = int(np.argmax(row))
            together = zeros.copy()
            together[largest] = True
            row[together] = row[largest] * usual[together] / usual[together].sum()
        row /= row.sum()
    return filled
