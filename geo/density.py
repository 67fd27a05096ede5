"""Where a cloud of points is how dense: a smoothed histogram on axes of the cloud's own.

The kernel is Gaussian. Its shape is that of the cloud's local spread, its width Scott's for one cluster, less
where the points huddle in several: it follows the distance to the near neighbours, not the whole spread.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

NARROWEST_M = 0.5  # engineering choice: a landing point means no less than about the rocket's own size
CELLS_PER_WIDTH = 2.5  # of a kernel's standard deviation; a histogram this fine adds 1 % to its variance
MAX_CELLS = 512  # along one axis
SHORTEST_OF_SCOTT = 0.2  # engineering choice: keeps a cloud on one line in one piece
PROBES = 256  # points whose neighbours are looked at


@dataclass(frozen=True)
class DensityGrid:
    """Density on a regular grid in the cloud's own axes (u, v), and the way back to metres.

    `density` has shape (cells_v, cells_u) and is zero along its rim. `at_samples` has shape (n,) and leaves out
    what each sample itself adds (`own`), so that a level taken from it holds for the next flight too.
    """

    u: np.ndarray
    v: np.ndarray
    density: np.ndarray
    at_samples: np.ndarray
    own: float
    centre_m: np.ndarray  # (east, north), shape (2,)
    axes_m: np.ndarray  # shape (2, 2): xy_m = centre_m + axes_m @ (u, v)
    bandwidth_m: tuple[float, float]  # standard deviations of the kernel along its long and short axis

    def to_metres(self, uv: np.ndarray) -> np.ndarray:
        """Points in the cloud's axes, shape (n, 2), to east and north. [m]"""
        return self.centre_m + uv @ self.axes_m.T


def density_grid(xy_m: np.ndarray) -> DensityGrid:
    """Density of landing points.

    Parameters
    ----------
    xy_m : ndarray, shape (n, 2)
        East and north, finite, n at least 2. [m]

    References
    ----------
    .. [1] Scott (1992), Multivariate Density Estimation, Wiley: factor n^(-1/(d+4)), here n^(-1/6).
    .. [2] Silverman (1986), Density Estimation, Chapman and Hall, section 5.2: widths by near neighbours.
    """
    from scipy.ndimage import gaussian_filter, map_coordinates  # 0.1 s, and only here

    centre_m = xy_m.mean(axis=0)
    axes_m = _kernel_axes(xy_m - centre_m)
    uv = np.linalg.solve(axes_m, (xy_m - centre_m).T).T
    low, high = uv.min(axis=0) - 5.0, uv.max(axis=0) + 5.0
    cell = max(1.0 / CELLS_PER_WIDTH, float((high - low).max()) / (MAX_CELLS - 1))
    width = max(1.0, 1.5 * cell)  # wider where far outliers make the cells coarse
    cells = np.ceil((high - low) / cell).astype(int) + 1
    place = (uv - low) / cell
    density = gaussian_filter(_histogram(place, cells), width / cell, mode="constant", truncate=4.0)
    density[[0, -1], :] = 0.0
    density[:, [0, -1]] = 0.0
    at_samples = map_coordinates(density, place[:, ::-1].T, order=1)
    own = 1.0 / (2.0 * math.pi * (width / cell) ** 2)
    long_m, short_m = np.linalg.svd(axes_m, compute_uv=False) * width
    return DensityGrid(
        u=low[0] + cell * np.arange(cells[0]),
        v=low[1] + cell * np.arange(cells[1]),
        density=density,
        at_samples=at_samples - own,
        own=own,
        centre_m=centre_m,
        axes_m=axes_m,
        bandwidth_m=(float(long_m), float(short_m)),
    )


def _histogram(place: np.ndarray, cells: np.ndarray) -> np.ndarray:
    """Share each point among the four grid nodes around it, by nearness. shape (cells_v, cells_u)"""
    whole = np.floor(place).astype(int)
    part = place - whole
    counts = np.zeros(int(cells[0] * cells[1]))
    for du in (0, 1):
        for dv in (0, 1):
            weight = np.abs(1 - du - part[:, 0]) * np.abs(1 - dv - part[:, 1])
            index = (whole[:, 1] + dv) * cells[0] + whole[:, 0] + du
            counts += np.bincount(index, weights=weight, minlength=counts.size)
    return counts.reshape(cells[1], cells[0])


def _kernel_axes(xy_m: np.ndarray) -> np.ndarray:
    """The kernel's principal axes as columns, as long as its standard deviations. shape (2, 2) [m]

    Its shape is the mean shape of the nearest quarter of the cloud around a point, so that two clusters side by
    side give the shape of one. Its size goes by the k-th neighbour: that distance is 2 sigma sqrt(k/n) at the
    median of a round normal cloud, so k = n^(2/3)/4 makes it Scott's width there, and less where points huddle.
    """
    from scipy.spatial import cKDTree

    n = len(xy_m)
    scott = n ** (-1.0 / 6.0)
    # A fixed shuffle: every second point of a Sobol sequence lies in one half of its first dimension.
    few = xy_m[np.random.default_rng(0).permutation(n)[:PROBES]]
    axes_m = _root(np.cov(xy_m.T))
    for _ in range(2):
        uv = np.linalg.solve(axes_m, few.T).T
        _, near = cKDTree(uv).query(uv[: PROBES // 2], k=max(2, len(few) // 4))
        offsets = uv[near] - uv[: PROBES // 2][:, None, :]
        square = np.einsum("pki,pkj->pij", offsets, offsets)
        trace = np.einsum("pii->p", square)
        if not (trace > 0.0).any():
            break
        local = (square[trace > 0.0] / trace[trace > 0.0][:, None, None]).mean(axis=0)
        axes_m = _root(axes_m @ (2.0 * local) @ axes_m.T)
    uv = np.linalg.solve(axes_m, xy_m.T).T
    probes = np.linalg.solve(axes_m, few.T).T
    reach, _ = cKDTree(uv).query(probes, k=[min(n, max(8, round(n ** (2.0 / 3.0) / 4.0)))])
    width = float(np.clip(np.median(reach), SHORTEST_OF_SCOTT * scott, scott))
    directions, lengths_m, _ = np.linalg.svd(axes_m * width)
    return directions * np.maximum(lengths_m, NARROWEST_M)


def _root(covariance_m2: np.ndarray) -> np.ndarray:
    """Principal axes scaled by their standard deviations, none quite zero. shape (2, 2) [m]"""
    variances, directions = np.linalg.eigh(covariance_m2)
    return directions * np.maximum(np.sqrt(np.maximum(variances, 0.0)), NARROWEST_M)
