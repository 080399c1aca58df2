"""THR-1: metric thread geometry, stress area and stripping areas."""

import pytest

from orthofem.loads.threads import metric, stripping_areas

SOURCE = "ISO 68-1, ISO 724; FED-STD-H28"
ROWS = {
    (6, 1): (5.3505, 4.9175, 4.7731, 20.123, 16.493, 11.587),
    (8, 1.25): (7.1881, 6.6468, 6.4664, 36.609, 21.991, 15.661),
    (10, 1.5): (9.0257, 8.3762, 8.1597, 57.990, 27.489, 19.736),
    (12, 1.75): (10.8633, 10.1056, 9.8530, 84.267, 32.987, 23.811),
    (16, 2): (14.7010, 13.8349, 13.5463, 156.668, 43.982, 32.598),
}


@pytest.mark.parametrize("size", ROWS)
def test_metric_thread(verify, size):
    """Diameters, stress area and stripping areas are the printed ones."""
    thread = metric(*size)
    nut, bolt = stripping_areas(thread, engagement=1.0)
    ours = (thread.d2, thread.d1, thread.d3, thread.stress_area, nut, bolt)
    names = ("d2", "d1", "d3", "stress area", "nut area per mm", "bolt area per mm")
    for name, value, target in zip(names, ours, ROWS[size], strict=True):
        verify("THR-1", f"{thread.name} {name}", value, target, source=SOURCE, grade="D", rtol=1e-4)
