"""What fits, against published figures; the source stands beside each check."""

from __future__ import annotations

import pytest
import shapely

from clubplanner.fitting import adults_needed, find_format, fit_pieces, fits_format
from clubplanner.fitting.packing.bounds import area_bound, barnes_bound
from clubplanner.fitting.packing.rectangles import pack_rectangle
from tests.fitting.packing.test_rectangles import fault_in_boxes
from tests.fitting.shapes import SEASON_25, read_bands, read_formats


@pytest.mark.parametrize(
    ("ground", "box", "count"),
    [
        # Worked out: the area bound is met.
        ((14, 10), (3, 2), 23),
        ((1000, 1000), (205, 159), 30),
        # Worked out: Barnes' bound (Discrete Mathematics 26, 1979, 93-100) is met.
        ((42, 31), (9, 4), 35),
    ],
)
def test_counts_that_meet_a_bound(
    ground: tuple[int, int], box: tuple[int, int], count: int
) -> None:
    """Counts that meet a bound are reached and proved at the usual effort."""
    packing = pack_rectangle(ground, box)
    assert (len(packing.boxes), packing.bound) == (count, count)


def test_barnes_bound_is_below_the_area_bound() -> None:
    """On 42 × 31 with 9 × 4 the area says 36 and Barnes 35 (both worked out by formula)."""
    assert area_bound((42, 31), (9, 4)) == 36
    assert barnes_bound((42, 31), (9, 4)) == 35


@pytest.mark.parametrize(
    ("ground", "box", "count"),
    [
        # The area bound is one more; refuted by a search through every layout, worked out.
        ((34, 23), (5, 4), 38),
        ((37, 30), (8, 3), 45),
        # Birgin, Lobato and Morabito 2010, Journal of the Operational Research Society 61,
        # 306-320: five-block methods stop at 56.
        ((49, 28), (8, 3), 57),
        # The hard questions of the literature on pallet loading, so called since Letchford and
        # Amaral 2001, European Journal of Operational Research 132, 582-593, and Birgin, Morabito
        # and Nishihara 2005, Pesquisa Operacional 25: questions and counts from memory; each
        # count is laid and meets a bound here.
        ((43, 26), (7, 3), 53),
        ((57, 34), (7, 4), 69),
        ((63, 44), (8, 5), 69),
        ((61, 35), (10, 3), 71),
        ((67, 37), (11, 3), 75),
        ((67, 40), (11, 3), 81),
        ((74, 49), (11, 4), 82),
        ((93, 46), (13, 4), 82),
        ((106, 59), (13, 5), 96),
        ((141, 71), (13, 8), 96),
        ((74, 46), (7, 5), 97),
        ((86, 52), (9, 5), 99),
    ],
)
def test_hard_published_counts(ground: tuple[int, int], box: tuple[int, int], count: int) -> None:
    """The hard published questions are answered with their best count, and proved."""
    packing = pack_rectangle(ground, box, block_steps=3_000, skyline_steps=300_000)
    assert (len(packing.boxes), packing.bound) == (count, count)
    assert fault_in_boxes(packing, ground, box) is None


@pytest.mark.parametrize(
    ("ground", "box", "count"),
    [
        # Further questions of the literature on pallet loading, from memory; the counts are worked
        # out: each is laid and meets a bound here.
        ((22, 16), (5, 3), 23),
        ((30, 22), (7, 4), 23),
        ((32, 22), (5, 4), 34),
        ((32, 27), (5, 4), 42),
        ((40, 25), (7, 3), 47),
        ((40, 26), (7, 4), 36),
        ((52, 33), (9, 4), 47),
        ((53, 26), (7, 4), 48),
        ((56, 52), (12, 5), 48),
        ((81, 39), (9, 7), 49),
        ((86, 82), (15, 11), 42),
        ((100, 64), (17, 10), 36),
        ((124, 81), (21, 10), 47),
        ((300, 200), (21, 19), 149),
        ((1200, 800), (176, 135), 38),
        ((2252, 1470), (144, 84), 271),
        ((2296, 1230), (136, 94), 219),
    ],
)
def test_further_questions_at_the_usual_effort(
    ground: tuple[int, int], box: tuple[int, int], count: int
) -> None:
    """Further questions of the literature are answered and proved while a person waits."""
    packing = pack_rectangle(ground, box)
    assert (len(packing.boxes), packing.bound) == (count, count)
    assert fault_in_boxes(packing, ground, box) is None


@pytest.mark.parametrize(
    ("ground", "box"),
    [
        # From memory, their optima not known to us; no proof is claimed for them.
        # Straight cuts alone lay 94: two blocks of 42 × 47, each full (worked out by hand).
        ((87, 47), (7, 6)),
        ((2536, 1312), (144, 84)),
        ((1470, 1458), (144, 84)),
    ],
)
def test_questions_without_proof(ground: tuple[int, int], box: tuple[int, int]) -> None:
    """Where no proof is found the layout is valid, near its bound, and not called proved."""
    packing = pack_rectangle(ground, box)
    assert 0.96 * packing.bound <= len(packing.boxes) <= packing.bound
    assert packing.is_proved == (len(packing.boxes) == packing.bound)
    assert fault_in_boxes(packing, ground, box) is None


def test_fifty_seven_at_the_usual_effort() -> None:
    """On 49 × 28 with 8 × 3 the 57 are laid and proved while a person waits.

    Source: Birgin, Lobato and Morabito 2010, Journal of the Operational Research Society 61,
    306-320, where 57 is the optimum and five-block methods stop at 56.
    """
    packing = pack_rectangle((49, 28), (8, 3))
    assert (len(packing.boxes), packing.is_proved) == (57, True)


@pytest.mark.parametrize(
    ("age", "yards", "with_run_off"),
    [
        (7, (40, 30), (46, 36)),
        (9, (60, 40), (66, 46)),
        (11, (80, 50), (86, 56)),
        (13, (90, 55), (96, 61)),
        (15, (100, 60), (106, 66)),
        (17, (110, 70), (116, 76)),
    ],
)
def test_pitch_sizes_by_age(
    age: int, yards: tuple[int, int], with_run_off: tuple[int, int]
) -> None:
    """Pitch and run-off agree with the published pair of sizes.

    Source: The FA, Goalpost and pitch sizes, FA Handbook 2016-17 p. 556.
    """
    found = find_format(read_formats(), age, on=SEASON_25)
    assert found is not None
    assert found.run_off_m is not None
    size = (found.length_m, found.width_m)
    assert size == pytest.approx([yd * 0.9144 for yd in yards])
    assert [m + 2 * found.run_off_m for m in size] == pytest.approx(
        [yd * 0.9144 for yd in with_run_off]
    )


def test_goal_sizes_by_age() -> None:
    """Goals in feet agree (The FA, Goalpost and pitch sizes, FA Handbook 2016-17 p. 556)."""
    feet = {8: (12, 6), 10: (12, 6), 12: (16, 7), 14: (21, 7), 16: (24, 8), 18: (24, 8)}
    for age, (width, height) in feet.items():
        found = find_format(read_formats(), age, on=SEASON_25)
        assert found is not None
        assert found.goal_width_m == pytest.approx(width * 0.3048)
        assert found.goal_height_m == pytest.approx(height * 0.3048)


def test_full_size_goal_is_the_laws_goal() -> None:
    """Eight by twenty-four feet is 7.32 × 2.44 m to a centimetre (IFAB, Law 1; secondary)."""
    found = find_format(read_formats(), None, on=SEASON_25)
    assert found is not None
    assert found.goal_width_m == pytest.approx(7.32, abs=0.01)
    assert found.goal_height_m == pytest.approx(2.44, abs=0.01)


@pytest.mark.parametrize(
    ("code", "outer"),
    [
        # FA guidance on full-size artificial turf (secondary).
        ("11v11-3g", (106, 70)),
        # FIBA Official Basketball Rules art. 2, read in the source.
        ("basketball", (32, 19)),
    ],
)
def test_size_with_run_off(code: str, outer: tuple[int, int]) -> None:
    """Size and run-off add up to the published outer size."""
    found = next(item for item in read_formats() if item.code == code)
    assert found.run_off_m is not None
    assert found.length_m + 2 * found.run_off_m == outer[0]
    assert found.width_m + 2 * found.run_off_m == outer[1]


def test_what_fits_in_a_sports_hall() -> None:
    """A hall of 33 × 18 m holds a basketball court of 28 × 15 m, and no handball court.

    Sources: Sport England, Comparative Sizes 2011 (hall); FIBA Rules art. 2 (court); Western
    Australian Government, Sports Dimensions Guide (handball).
    """
    hall = shapely.box(0, 0, 33, 18)
    formats = {item.code: item for item in read_formats()}
    assert fits_format(hall, formats["basketball"])
    assert not fits_format(hall, formats["handball"])


def test_two_mini_pitches_on_half_a_pitch() -> None:
    """Two 5v5 pitches lie across a half of 50 × 64 m, six yards apart, and not three.

    Source of size and of the six yards between neighbours: The FA, Goalpost and pitch sizes, FA
    Handbook 2016-17 p. 556. That 50 × 64 m is half a pitch of 100 × 64 m: FA guidance on
    artificial turf (secondary).
    """
    mini = next(item for item in read_formats() if item.code == "5v5")
    half = shapely.box(0, 0, 50, 64)
    fit = fit_pieces(half, mini.length_m, mini.width_m, gap_m=6 * 0.9144)
    assert (fit.count, fit.is_proved) == (2, True)


def test_practice_areas() -> None:
    """The bands are those of Owen, Twist and Ford 2004, Insight 7(2) 50-53 (read in the source)."""
    owen = {band.side: band.sizes_m for band in read_bands() if band.source.startswith("Owen")}
    assert owen == {
        1: ((5, 10), (10, 15), (15, 20)),
        2: ((10, 15), (15, 20), (20, 25)),
        3: ((15, 20), (20, 25), (25, 30)),
        4: ((20, 25), (25, 30), (30, 35)),
        5: ((25, 30), (30, 35), (35, 40)),
    }


@pytest.mark.parametrize(
    ("age", "children", "adults"),
    [
        # NSPCC/CPSU, Guidelines on staffing and supervision ratios: the three worked examples.
        (13, 25, 3),
        (18, 25, 3),
        (1, 9, 3),
        (13, 10, 2),
    ],
)
def test_supervision_ratios(age: int, children: int, adults: int) -> None:
    """The worked examples of the published ratios come out."""
    assert adults_needed(age, children) == adults
