"""Where a cloud of points is how dense: a smoothed histogram on axes of the cloud's own.

The kernel is Gaussian. Its shape is that of the cloud's local spread, its least width Scott's for one cluster, less
where the points huddle in several: it follows the distance to the near neighbours, not the whole spread. A sample
with few neighbours gets a wider kernel, so that a thin tail is one region and not an island around each sample.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

NARROWEST_M = 0.5  # engineering choice: a landing point means no less than about the rocket's own size
CELLS_PER_WIDTH = 2.5  # of a kernel's standard deviation; a histogram this fine adds 1 % to its variance
MAX_CELLS = 400  # along one axis
SHORTEST_OF_SCOTT = 0.2  # engineering choice: keeps a cloud on one line in one piece
NEIGHBOURS = 16  # engineering choice: a thin tail of some 20 samples is one piece
OF_REACH = 0.5  # engineering choice: half way to the 16th neighbour; of a normal cloud only the outer part is widened
WIDTHS = 1.7 ** np.arange(6)  # the ladder of kernel widths, up to 14; one transform for each
REACH = 3.5  # standard deviations of its kernel that the grid goes on beyond a sample
PROBES = 256  # points whose neighbours are looked at


@dataclass(frozen=True)
class DensityGrid:
    """Density on a regular grid in the cloud's own axes (u, v), and the way back to metres.

    `density` has shape (cells_v, cells_u) and is zero along its rim. `at_samples` has shape (n,) and leaves out
    what each sample itself adds, so that a level taken from it holds for the next flight too. `own` is the least that
    any sample adds where it lies: the peak of the widest kernel in use.
    """

    u: np.ndarray
    v: np.ndarray
    density: np.ndarray
    at_samples: np.ndarray
    own: float
    centre_m: np.ndarray  # (east, north), shape (2,)
    axes_m: np.ndarray  # shape (2, 2): xy_m = centre_m + axes_m @ (u, v)
    bandwidth_m: tuple[float, float]  # standard deviations of the narrowest kernel along its axes, long first

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
    .. [3] Abramson (1982), On bandwidth variation in kernel estimates, Annals of Statistics 10, 1217-1223:
       width as the density to the power of -1/2, which is as the distance to the k-th neighbour in a plane.
    """
    from scipy.ndimage import map_coordinates  # 0.1 s, and only here

    centre_m = xy_m.mean(axis=0)
    axes_m = _kernel_axes(xy_m - centre_m)
    uv = np.linalg.solve(axes_m, (xy_m - centre_m).T).T
    step, widths = _widths(uv)
    reach = REACH * widths[:, None]
    low, high = (uv - reach).min(axis=0) - 1.0, (uv + reach).max(axis=0) + 1.0
    cell = max(1.0 / CELLS_PER_WIDTH, float((high - low).max()) / (MAX_CELLS - 1))
    widths = np.maximum(widths, 1.5 * cell)  # wider where far outliers make the cells coarse
    cells = np.ceil((high - low) / cell).astype(int) + 1
    place = (uv - low) / cell
    density = _smoothed(place, cells, step, widths / cell)
    density[[0, -1], :] = 0.0
    density[:, [0, -1]] = 0.0
    at_samples = map_coordinates(density, place[:, ::-1].T, order=1)
    own = 1.0 / (2.0 * math.pi * (widths / cell) ** 2)
    long_m, short_m = np.linalg.svd(axes_m, compute_uv=False) * widths.min()
    return DensityGrid(
        u=low[0] + cell * np.arange(cells[0]),
        v=low[1] + cell * np.arange(cells[1]),
        density=density,
        at_samples=at_samples - own,
        own=float(own.min()),
        centre_m=centre_m,
        axes_m=axes_m,
        bandwidth_m=(float(long_m), float(short_m)),
    )


def _widths(uv: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Each sample's step on the ladder, shape (n,), and its width in those of the narrowest kernel, shape (n,).

    The nearest rung to half the way to its 16th neighbour. Never below the narrowest: where samples are plenty,
    Scott's width is right already, and the grid resolves it.
    """
    from scipy.spatial import cKDTree

    reach, _ = cKDTree(uv).query(uv, k=[min(len(uv), NEIGHBOURS + 1)])
    wanted = np.clip(OF_REACH * reach[:, 0], WIDTHS[0], WIDTHS[-1])
    step = np.rint(np.log(wanted) / math.log(WIDTHS[1])).astype(int)
    return step, WIDTHS[step]


def _smoothed(place: np.ndarray, cells: np.ndarray, step: np.ndarray, widths: np.ndarray) -> np.ndarray:
    """Sum of the samples' kernels on the grid, one transform for all samples of one width. shape (cells_v, cells_u)"""
    from scipy import fft

    size = [fft.next_fast_len(int(cells[1])), fft.next_fast_len(int(cells[0]), real=True)]
    fu = (2.0 * math.pi * fft.rfftfreq(size[1])) ** 2
    fv = (2.0 * math.pi * fft.fftfreq(size[0])) ** 2
    total = np.zeros((len(fv), len(fu)), dtype=complex)
    for one in np.unique(step):
        these = step == one
        half = -0.5 * widths[these][0] ** 2
        spectrum = fft.rfft2(_histogram(place[these], cells), s=size)
        spectrum *= np.exp(half * fu)
        spectrum *= np.exp(half * fv)[:, None]
        total += spectrum
    return np.maximum(fft.irfft2(total, s=size)[: cells[1], : cells[0]], 0.0)


def _histogram(place: np.ndarray, cells: np.ndarray) -> np.ndarray:
    """Share each point among the four grid nodes around it, by nearness. shape (cells_v, cells_u)"""
    whole = np.floor(place).astype(int)
    part = place - whole
    index, weight = [], []
    for du in (0, 1):
        for dv in (0, 1):
            weight.append(np.abs(1 - du - part[:, 0]) * np.abs(1 - dv - part[:, 1]))
            index.append((whole[:, 1] + dv) * cells[0] + whole[:, 0] + du)
    size = int(cells[0] * cells[1])
    counts = np.bincount(np.concatenate(index), weights=np.concatenate(weight), minlength=size)
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
