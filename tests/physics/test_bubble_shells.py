import numpy as np
import pytest
from scipy.linalg import solve

from outgas.physics import bubble_shells

R0 = np.array([1e-6, 5e-5, 1e-4])
Y = np.array([1e3, 200.0, 0.2]) * R0**3


def test_the_shells_fill_the_cell_and_widen_outwards():
    y = bubble_shells.faces(R0, Y, 40)
    assert y.shape == (41, 3)
    assert np.all(y[0] == 0.0)
    assert y[-1] == pytest.approx(Y, rel=1e-12)
    widths = np.diff(y, axis=0)
    assert (widths > 0.0).all()
    assert (widths[1:] >= widths[:-1] * (1.0 - 1e-6)).all()
    assert y[1, :2] == pytest.approx(bubble_shells.FIRST_SHELL * R0[:2] ** 3, rel=1e-6)


def test_a_cell_thinner_than_its_first_shell_is_cut_evenly():
    widths = np.diff(bubble_shells.faces(R0[2:], Y[2:], 40), axis=0)
    assert widths == pytest.approx(np.full((40, 1), Y[2] / 40), rel=1e-5)


def test_a_way_is_the_steady_sphere_s_however_thin():
    """Summed in series they are 3/(1/R - 1/r_last), even where R dwarfs the shells."""
    for swollen in (1.0, 30.0, 1e5):
        R = R0 * swollen
        y = bubble_shells.faces(R0, Y, 40)
        nodes = 0.5 * (y[1:] + y[:-1])
        ways = bubble_shells.conductances(R, nodes, np.diff(nodes, axis=0, prepend=0.0))
        last = np.cbrt(R**3 + nodes[-1])
        gap = nodes[-1] / (R**2 + R * last + last**2)
        assert (ways > 0.0).all()
        assert (1.0 / ways).sum(axis=0) == pytest.approx(gap / (3.0 * R * last), rel=1e-10)


def test_the_sweep_solves_what_a_dense_solver_solves():
    rng = np.random.default_rng(3)
    N, gases, B = 7, 2, 3
    s, widths = rng.uniform(0.1, 5.0, (N, gases, B)), rng.uniform(0.5, 2.0, (N, B))
    held, wall = rng.uniform(0.0, 1.0, (N, gases, B)), rng.uniform(0.0, 1.0, (gases, B))
    sweep = bubble_shells.Sweep(N, gases, B)
    seen, drawn = sweep.inward(s, widths, held)
    c = np.empty((N, gases, B))
    sweep.outward(wall, c)
    for i in range(gases):
        for b in range(B):
            A = np.zeros((N, N))
            right = held[:, i, b].copy()
            for j in range(N):
                A[j, j] = widths[j, b] + s[j, i, b]
                if j:
                    A[j, j - 1] = -s[j, i, b]
                if j < N - 1:
                    A[j, j] += s[j + 1, i, b]
                    A[j, j + 1] = -s[j + 1, i, b]
            right[0] += s[0, i, b] * wall[i, b]
            exact = solve(A, right)
            assert c[:, i, b] == pytest.approx(exact, rel=1e-12)
            flux = s[0, i, b] * (exact[0] - wall[i, b])
            assert drawn[i, b] - seen[i, b] * wall[i, b] == pytest.approx(flux, rel=1e-11)
