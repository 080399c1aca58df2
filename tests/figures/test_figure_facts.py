"""What the single figures show."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import Circle, PathPatch
from matplotlib.text import Text

from orthofem.figures import FIGURES, Overview, PiecePrint, ReserveTable, WorstPlace
from orthofem.figures.governing_mode import shared_out
from orthofem.figures.index_on_surface import banded, exaggeration
from orthofem.figures.print_directions import layers_on_cut, on_the_bed
from orthofem.figures.reserve_by_option import limits


def words(artist):
    """All text of a figure in one string."""
    return "\n".join(text.get_text() for text in artist.findobj(Text))


def one_axes():
    """An empty panel."""
    return Figure(layout="constrained").subplots()


def test_layer_lines_lie_across_the_way_up(picture):
    """In the cut, lines of the upright piece stand upright and those of the lying one lie."""
    axes = one_axes()
    layers_on_cut(axes, picture, labels=False)
    upright, lying = (c.get_segments() for c in axes.findobj(LineCollection))
    assert all(np.ptp(line[:, 0]) < 1e-9 and np.ptp(line[:, 1]) > 11 for line in upright)
    assert all(np.ptp(line[:, 1]) < 1e-9 and np.ptp(line[:, 0]) > 29 for line in lying)
    assert len(upright) == 30 / 1.6 // 1 + 1  # lines 8 layers of 0.2 mm apart on 30 mm
    assert len(lying) == 12 / 1.5  # 6 layers of 0.25 mm apart on 12 mm


def test_a_piece_that_is_not_printed_has_no_layers(picture):
    """A rod gets neither lines nor an arrow, and is called not printed."""
    rod = replace(picture, pieces=(PiecePrint("lower", printed=False), picture.pieces[1]))
    axes = one_axes()
    layers_on_cut(axes, rod)
    assert [len(c.get_segments()) for c in axes.findobj(LineCollection)] == [0, 8]
    assert "lower: not printed" in words(axes)


def test_small_sketches_leave_out_lines(picture):
    """Drawn small, a piece on the bed keeps its lines at least half a millimetre of paper apart."""
    axes = one_axes()
    on_the_bed(axes, picture.section, picture.pieces, share=0.12)
    axes.figure.draw_without_rendering()
    per_mm = axes.transData.transform([[0, 1], [0, 0]]) / axes.figure.dpi * 25.4
    scale = per_mm[0, 1] - per_mm[1, 1]
    for lines in axes.findobj(LineCollection):
        heights = np.unique([np.round(line[0, 1], 6) for line in lines.get_segments()])
        assert heights.size > 1
        assert np.diff(heights).min() * scale >= 0.5
    count = [len(c.get_segments()) for c in axes.findobj(LineCollection)]
    assert count[0] < 30 / 1.6 // 1  # as many as on the cut would run together


def test_beads_in_several_lines(picture):
    """A long word for the beads is broken and stays below its own piece."""
    long = replace(picture.pieces[0], beads="crossing from layer to layer")
    figure = FIGURES["print_directions"](replace(picture, pieces=(long, picture.pieces[1])))
    assert "lower\nbeads crossing from\nlayer to layer" in words(figure)


def test_long_titles_are_broken(samples):
    """A title longer than the paper is wide goes on in a second line and stays on the paper."""
    data = replace(samples["index_on_surface"], title="loose stud, lying: " + 9 * "a long load ")
    figure = FIGURES["index_on_surface"](data)
    figure.draw_without_rendering()
    (title,) = [t for t in figure.findobj(Text) if t.get_text().startswith("loose stud")]
    assert title.get_text().count("\n") >= 1
    assert title.get_window_extent().x1 <= figure.bbox.x1


def test_layers_in_the_plane_of_the_cut_are_said_not_drawn(picture):
    """Where the way up points at the viewer no lines are drawn, and the bed view says so."""
    lying = replace(picture, pieces=(PiecePrint("upper", (0, 1, 0)),))
    figure = FIGURES["print_directions"](lying)
    assert [len(c.get_segments()) for c in figure.findobj(LineCollection)] == [0, 0]
    assert "seen from above" in words(figure)
    slanting = replace(picture, pieces=(PiecePrint("upper", (1, 0.6, 0)),))
    assert "leans out of the picture" in words(FIGURES["print_directions"](slanting))


def test_print_directions_name_pieces_posture_and_beads(picture):
    """Each piece is named with its posture, its beads and what a line stands for."""
    found = words(FIGURES["print_directions"](picture))
    for expected in (
        "lower: printed upright", "upper: printed lying", "beads along the stick",
        "up on\nthe bed", "8 layers of 0.2 mm", "6 layers of 0.25 mm",
    ):  # fmt: skip
        assert expected in found


def test_the_open_part_is_drawn_where_it_is_given(picture, surface):
    """With a surface the figure has one panel more, with its painted faces."""
    plain = FIGURES["print_directions"](picture)
    whole = FIGURES["print_directions"](replace(picture, surface=surface))
    assert len(whole.findobj(lambda a: hasattr(a, "axison"))) == 3
    assert len(plain.findobj(lambda a: hasattr(a, "axison"))) == 2


def test_postures_in_words():
    """Along the axis is upright, across it is lying, between it leans by its angle."""
    assert PiecePrint("a", (-2, 0, 0)).posture == "printed upright"
    assert PiecePrint("a", (0, 0, 1)).posture == "printed lying"
    assert PiecePrint("a", (1, 1, 0)).posture == "printed leaning 45°"


def test_surface_states_exaggeration_and_worst(samples):
    """The title says how many times the deformation is drawn; the worst value and mode stand."""
    data = samples["index_on_surface"]
    figure = FIGURES["index_on_surface"](data)
    assert exaggeration(data) == 10  # 16 mm / 12 / 0.1 mm = 13.3, rounded down to 1, 2 or 5
    assert "deformation drawn 10 times" in words(figure)
    assert "worst: 1.38, layers part" in words(figure)
    still = replace(data, surface=replace(data.surface, displacement=None))
    assert "undeformed" in words(FIGURES["index_on_surface"](still))
    rigid = replace(data, surface=replace(data.surface, displacement=0 * data.surface.points))
    assert "undeformed" in words(FIGURES["index_on_surface"](rigid))


def test_bands_of_a_field_keep_area_and_stay_in_their_step(surface):
    """Cut along the steps, a surface keeps its area, and each piece lies within one step."""
    steps = np.array([0.0, 0.3, 1.0])
    points, triangles, owner, middle = banded(
        surface.points, surface.triangles, surface.values, steps
    )
    a, b, c = (points[:, k] for k in triangles)
    area = np.linalg.norm(np.cross(b - a, c - a, axis=0), axis=0) / 2
    assert area.sum() == pytest.approx(6 * 16**2)
    values = (points[0, triangles] + 8) / 10
    step = np.digitize(middle, steps)
    below, above = np.append(-np.inf, steps)[step], np.append(steps, np.inf)[step]
    assert (values >= below - 1e-12).all()
    assert (values <= above + 1e-12).all()
    assert set(owner) == set(range(surface.triangles.shape[1]))


def test_failure_is_marked_at_one_on_the_scale(samples):
    """The scale of the index carries a line at 1 between 'holds' and 'breaks'."""
    for name in ("index_on_cut", "index_on_surface"):
        figure = FIGURES[name](samples[name])
        bar = figure.axes[1]
        assert [list(line.get_xdata()) for line in bar.lines if line.get_linewidth() > 2] == [
            [1, 1]
        ]
        assert {"holds", "breaks"} <= {text.get_text() for text in bar.texts}


def test_averaging_ball_is_drawn_to_scale(samples):
    """The ring at the worst place has the radius of the ball, centred on the place in the cut."""
    figure = FIGURES["index_on_cut"](samples["index_on_cut"])
    (ring,) = figure.axes[0].findobj(Circle)
    assert ring.get_radius() == 1.5
    assert ring.center == pytest.approx((0, 2))
    assert "ball of 1.5 mm radius" in words(figure)


def test_an_index_below_one_has_no_failure_contour(samples):
    """The bold contour at 1 is there when the index passes 1, and only then."""
    data = samples["index_on_cut"]
    low = replace(data, section=replace(data.section, values=0.5 * data.section.values))
    figures = [FIGURES["index_on_cut"](shown) for shown in (data, low)]
    count = [
        sum(type(drawn).__name__ == "TriContourSet" for drawn in figure.axes[0].collections)
        for figure in figures
    ]
    assert count == [2, 1]


def test_gaps_in_the_index_are_left_out(samples):
    """A field unknown in part of the cut is drawn where it is known."""
    data = samples["index_on_cut"]
    values = data.section.values.copy()
    values[data.section.points[0] < 0] = np.nan
    FIGURES["index_on_cut"](replace(data, section=replace(data.section, values=values)))
    nothing = replace(data, section=replace(data.section, values=np.full_like(values, np.nan)))
    figure = FIGURES["index_on_cut"](nothing)
    assert not [c for c in figure.axes[0].collections if type(c).__name__ == "TriContourSet"]


def test_modes_in_plain_words_and_only_those_that_occur(samples):
    """The legend names the modes that occur and the faint part, each with its own hatch."""
    figure = FIGURES["governing_mode"](samples["governing_mode"])
    legend = figure.axes[0].get_legend()
    assert [text.get_text() for text in legend.get_texts()] == [
        "little load (index below 0.1)", "layers part", "layers slide",
    ]  # fmt: skip
    patches = [p for p in figure.axes[0].findobj(PathPatch) if p.get_facecolor()[3] > 0]
    assert len(patches) == 3
    looks = {(p.get_facecolor(), p.get_hatch()) for p in patches}
    assert len(looks) == 3


def test_sharing_out_keeps_area_and_parts_straight(section):
    """Small triangles cover the same area, and each carries the label of its own corner."""
    label = (section.points[1] > 0).astype(int)
    points, triangles, small = shared_out(section.points, section.triangles, label)
    a, b, c = (points[:, k] for k in triangles)
    twice = (b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0]
    assert twice.min() > 0
    assert twice.sum() / 2 == pytest.approx(60 * 12)
    assert (small == label[triangles[0]]).all()
    # rows of points at y = -6, -2, 2, 6: the border runs half way, at y = 0
    assert points[1, triangles[:, small == 1]].min() == pytest.approx(0)
    assert twice[small == 1].sum() / 2 == pytest.approx(60 * 6)


def test_reserve_bars_start_at_one_with_the_best_on_top(table):
    """Bars run from 1 to the reserve factor; the best option comes first; the line stands at 1."""
    axes = one_axes()
    FIGURES["reserve_by_option"](table, axes)
    names = [label.get_text() for label in axes.get_yticklabels()]
    assert names == [
        "best: lying", "walking", "kick", "upright", "walking", "kick",
        "untried", "walking", "kick",
    ]  # fmt: skip
    bars = sorted(axes.patches, key=lambda bar: bar.get_y())
    spans = [(bar.get_x(), bar.get_x() + bar.get_width()) for bar in bars]
    assert spans[0] == pytest.approx((1, 6))
    assert spans[2] == pytest.approx((1, 2.5))
    assert sorted(spans[3]) == pytest.approx([0.6, 1])
    assert len(bars) == 5  # six answers, one of them unknown
    assert any(list(line.get_xdata()) == [1, 1] for line in axes.lines)
    wanted = [line.get_xdata()[0] for line in axes.lines if len(set(line.get_xdata())) == 1]
    assert wanted.count(3.0) == 2
    assert wanted.count(1.5) == 3
    assert axes.get_xscale() == "log"


def clear_of_each_other(figure):
    """Whether all shown words are on the paper and none lies on another."""
    figure.draw_without_rendering()
    hidden = [axes for axes in figure.findobj(Axes) if not axes.axison]
    unseen = {tick.label1 for axes in hidden for axis in (axes.xaxis, axes.yaxis)
              for tick in axis.get_major_ticks()}  # fmt: skip
    boxes = [t.get_window_extent() for t in figure.findobj(Text)
             if t.get_visible() and t.get_text().strip() and t not in unseen]  # fmt: skip
    boxes = [box for box in boxes if box.width > 0]
    inside = all(figure.bbox.x0 - 1 <= b.x0 and b.x1 <= figure.bbox.x1 + 1 for b in boxes)
    apart = all(
        min(min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)) < 2
        for k, a in enumerate(boxes) for b in boxes[k + 1 :]
    )  # fmt: skip
    return inside, apart


def large_table():
    """Seven options under three loads with long names."""
    cases = ("Everyday walking", "Side kick of a swinging foot, tip held",
             "Leaning with the full weight on one hand")  # fmt: skip
    options = tuple(f"{joint}, {way}" for joint in ("stud printed on", "loose stud", "spigot")
                    for way in ("upright", "lying"))  # fmt: skip
    reserve = np.exp(np.linspace(-2, 2, 21)).reshape(7, 3)
    return ReserveTable(
        (*options, "rod through all pieces"), cases, reserve, np.array([5, 1.25, 3]),
        (("beads part in the layer", "material breaks", "layers part"),) * 7,
    )  # fmt: skip


def test_many_options_and_long_names_stay_readable(picture):
    """Seven options under three loads: words apart and on the paper, alone and in the overview."""
    table = large_table()
    figure = FIGURES["reserve_by_option"](table)
    assert clear_of_each_other(figure) == (True, True)
    per_row = figure.get_figheight() * 25.4 / (7 * 4)
    assert per_row > 4.5  # a line of 8 points and some air [mm]
    whole = FIGURES["overview"](Overview(picture, picture, table))
    assert clear_of_each_other(whole) == (True, True)


def test_pieces_of_an_overview_are_named_apart(picture, table):
    """The small cuts of the overview carry two-line names that do not lie on each other."""
    figure = FIGURES["overview"](Overview(picture, picture, table))
    found = words(figure)
    assert "lower:\nupright" in found
    assert "upper:\nlying" in found
    assert clear_of_each_other(figure) == (True, True)


def test_reserve_words_at_the_bars(table):
    """Each bar ends in its factor and mode; what does not break or has no answer says so."""
    axes = one_axes()
    FIGURES["reserve_by_option"](table, axes)
    found = [text.get_text() for text in axes.texts]
    assert "0.6  layers slide" in found
    assert "does not break" in found
    assert "no answer" in found


def test_bars_tell_breaking_from_holding(table):
    """A bar below 1, one below the wanted factor and one above it look different."""
    axes = one_axes()
    FIGURES["reserve_by_option"](table, axes)
    bars = sorted(axes.patches, key=lambda bar: bar.get_y())
    enough, little, broken = bars[0], bars[2], bars[3]
    assert len({bar.get_facecolor() for bar in (enough, little, broken)}) == 3
    assert broken.get_hatch()
    assert not enough.get_hatch()


def test_axis_holds_every_factor(table):
    """The log axis takes in the smallest and largest finite factor, the wanted ones and 1."""
    low, high, least, most = limits(table)
    assert low < 0.6
    assert least == 0.6
    assert 6 < most < high


def test_ranking_counts_an_unknown_answer_as_none(table):
    """Options rank by the smallest reserve over wanted; an unknown answer ranks last."""
    assert table.margin == pytest.approx([0.4, 2.0, 0.0])
    assert table.ranking.tolist() == [1, 0, 2]


def test_deflection_names_lines_with_their_end_value(samples):
    """Each option is one line with its own marker, named with the value at its end."""
    axes = one_axes()
    FIGURES["deflection"](samples["deflection"], axes)
    found = words(axes)
    assert "upright  1 mm" in found
    assert "lying  2 mm" in found
    assert "a kick from the side" in axes.get_title("left")
    lines = [line for line in axes.lines if len(line.get_xdata()) == 9]
    assert lines[1].get_ydata() == pytest.approx(2 * np.linspace(0, 1, 9) ** 2)
    assert len({line.get_marker() for line in lines}) == 2


def test_refinement_tells_raw_from_averaged(samples):
    """Two lines an option, filled for averaged and open for raw, finer meshes to the right."""
    axes = one_axes()
    FIGURES["refinement"](samples["refinement"], axes)
    averaged, raw = axes.lines[:2]
    assert averaged.get_ydata() == pytest.approx([0.9, 0.91])
    assert raw.get_ydata() == pytest.approx([1.2, 1.6])
    assert averaged.get_markerfacecolor() != raw.get_markerfacecolor()
    assert axes.xaxis_inverted()
    assert {"averaged: the value reported", "raw peak at one point"} == {
        text.get_text() for text in axes.get_legend().get_texts()
    }


def test_overview_carries_the_caution(samples):
    """The overview names best and worst and says that it is an estimate."""
    found = words(FIGURES["overview"](samples["overview"]))
    assert "Best: Lying stud" in found
    assert "Worst: Lying stud" in found
    assert "does not show that a person may lean on this part" in found


def test_worst_place_without_a_ball_gets_a_mark(samples):
    """A worst place of no radius is marked by a ring of fixed size."""
    data = replace(samples["index_on_cut"], worst=WorstPlace((0, 0, 0), 0.4))
    figure = FIGURES["index_on_cut"](data)
    assert not figure.axes[0].findobj(Circle)
    assert "worst: 0.4" in words(figure)
    assert "ball" not in words(figure)
