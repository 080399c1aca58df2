"""An independent blow: beam elements, Newmark's average acceleration, contact and friction.

Shares no code with `orthofem.loads`: full degrees of freedom instead of modes, an implicit
step instead of exact swings between pushes.
"""

from __future__ import annotations

import numpy as np


def beam_matrices(elements, h, EI, line_mass):
    """Stiffness [N/mm] and consistent mass [kg] of a free beam, and those of one element."""
    k = np.array(
        [
            [12, 6 * h, -12, 6 * h],
            [6 * h, 4 * h**2, -6 * h, 2 * h**2],
            [-12, -6 * h, 12, -6 * h],
            [6 * h, 2 * h**2, -6 * h, 4 * h**2],
        ]
    ) * (EI / h**3)
    m = np.array(
        [
            [156, 22 * h, 54, -13 * h],
            [22 * h, 4 * h**2, 13 * h, -3 * h**2],
            [54, 13 * h, 156, -22 * h],
            [-13 * h, -3 * h**2, -22 * h, 4 * h**2],
        ]
    ) * (line_mass * h / 420)
    K, M = np.zeros((2, 2 * elements + 2, 2 * elements + 2))
    for e in range(elements):
        part = slice(2 * e, 2 * e + 4)
        K[part, part] += k
        M[part, part] += m
    return K, M, k, m


def newmark_kick(stick, foot, ends, end, step=2e-5, elements=36):
    """Largest moment at every node, and largest contact force, of a kick in one plane.

    Parameters
    ----------
    stick : (length, EI, mass)
    foot : (struck station on a node, mass, speed, contact stiffness)
    ends : (tip spring or inf, grip or inf, hand spring or inf)
    end : float
        How long to look [s].
    """
    (length, EI, mass), (x, striker, speed, contact) = stick, foot
    rubber, grip, hand = ends
    h = length / elements
    K, M, k, m = beam_matrices(elements, h, EI, mass / length)
    K, M = 1000.0 * K, M  # mN/mm, so that kg, mm and s go together
    slips = np.isfinite(grip)
    if np.isfinite(hand):
        K[-2, -2] += 1000.0 * hand
    if np.isfinite(rubber) and not slips:
        K[0, 0] += 1000.0 * rubber
    held = [i for i, s in ((0, rubber), (2 * elements, hand)) if np.isinf(s)]
    free = np.setdiff1d(np.arange(2 * elements + 2), held)
    K, M = K[np.ix_(free, free)], M[np.ix_(free, free)]
    effective = np.linalg.inv(K + 4.0 / step**2 * M)
    place = {int(i): n for n, i in enumerate(free)}
    c, t = place[round(x / h) * 2], place.get(0)
    kc, kr, limit = 1000.0 * contact, 1000.0 * rubber if slips else 0.0, 1000.0 * grip
    u, v, a = np.zeros((3, free.size))
    p, pv, pa, foothold = 0.0, float(speed), 0.0, 0.0
    whole = np.zeros((2, 2 * elements + 2))
    most, force_most, f, g = np.zeros(elements + 1), 0.0, 0.0, 0.0
    for _ in range(int(np.ceil(end / step))):
        plain = effective @ (M @ (4.0 / step**2 * u + 4.0 / step * v + a))
        p_plain = p + step * pv + step**2 / 4.0 * pa
        for _ in range(60):  # contact and floor settle together
            before = f, g
            other = plain[c] + (effective[c, t] * g if slips else 0.0)
            soft = 1.0 / kc + effective[c, c] + step**2 / 4.0 / striker
            f = max(0.0, (p_plain - other) / soft)
            if slips:
                tip = plain[t] + effective[t, c] * f
                g = np.clip((foothold - tip) / (1.0 / kr + effective[t, t]), -limit, limit)
            if abs(f - before[0]) + abs(g - before[1]) < 1e-6:
                break
        new = plain + effective[:, c] * f + (effective[:, t] * g if slips else 0.0)
        fresh = 4.0 / step**2 * (new - u) - 4.0 / step * v - a
        v, u, a = v + step / 2.0 * (a + fresh), new, fresh
        p_new = p_plain - step**2 / 4.0 * f / striker
        pv, pa, p = pv + step / 2.0 * (pa - f / striker), -f / striker, p_new
        if slips:
            foothold = u[t] + g / kr
        whole[0, free], whole[1, free] = u, a
        most = np.maximum(most, np.abs(_moments(whole, k, m)))
        force_most = max(force_most, f)
    return most, force_most / 1000.0


def _moments(whole, k, m):
    """Bending moments at the nodes from the elements' own balance [N mm]."""
    ends = np.lib.stride_tricks.sliding_window_view(whole, 4, axis=1)[:, ::2]
    pull = ends[0] @ k.T + ends[1] @ m.T / 1000.0
    return np.append(pull[:, 1], -pull[-1, 3])
