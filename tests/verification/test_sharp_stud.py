"""Sharp-shouldered stud through the study: the raw peak has no end, the reported value has."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.parts import InBox, NearPoint, OnPlane, Part, Piece, Refinement, Revolved, polygon
from orthofem.study import HeldPart, Option, Print, Study, SurfaceLoad, run

SHAFT, STUD, LENGTH = 20.0, 12.0, 32.0
BEND = SurfaceLoad("kick", "Bent at the shoulder", (0.0, 0.0, 0.0), (0.0, 0.0, -2000.0))


def stud() -> Part:
    """Return a stud on a shaft without a root fillet, fine at the corner on the side pulled."""
    outline = polygon(
        [(-LENGTH, 0), (LENGTH, 0), (LENGTH, STUD / 2), (0, STUD / 2), (0, SHAFT / 2),
         (-LENGTH, SHAFT / 2)]
    )  # fmt: skip
    return Part(
        "sharp_stud",
        (Piece("lower", Revolved(outline)),),
        {
            "lower_end": OnPlane((-LENGTH, 0, 0), (1, 0, 0)),
            "upper_end": OnPlane((LENGTH, 0, 0), (1, 0, 0)),
        },
        feature=8.0,
        refine=(Refinement(NearPoint((0.0, STUD / 2, 0.0), 1.2), 0.5),),
        interest=InBox((-4, 0, -2), (4, 20, 2)),
    )


@pytest.mark.slow
@pytest.mark.parametrize("form", ["volume", "point", "line"])
def test_reported_value_settles_where_the_peak_does_not(form):
    """Over three refinements the raw peak grows by 5 % or more each; the value stays within 3 %."""
    option = Option("sharp stud", stud(), {"lower": Print("pla")})
    study = Study("sharp", [option], HeldPart("lower_end", "upper_end", [BEND]),
                  refinements=(0.7, 1.2, 2.0), hot_spot=form)  # fmt: skip
    result = run(study)
    answers = result.answers["sharp stud"]
    unknowns = [answer.part_mesh.report.n_unknowns for answer in answers]
    raw = np.array([1 / answer.worst[0].raw_reserve for answer in answers])
    value = np.array([1 / answer.worst[0].reserve for answer in answers])
    print(f"{form}: unknowns {unknowns}, raw peak index {raw.round(3)}, reported {value.round(4)}")
    assert (raw[1:] > 1.05 * raw[:-1]).all()
    assert (np.abs(value[1:] / value[:-1] - 1) < 0.03).all()
    (row,) = result.rows
    print(f"sure to {100 * row.uncertainty:.2g} %, tends to {row.extrapolated:.4g}")
    assert row.sharp
    assert 0 < row.uncertainty < 0.1
