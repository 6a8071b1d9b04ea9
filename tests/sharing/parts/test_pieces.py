"""What falls apart by itself, and what is gathered and given to whom."""

from __future__ import annotations

from clubplanner.sharing.example.example import example
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.parts.allotting import allot
from clubplanner.sharing.parts.looking import look
from clubplanner.sharing.parts.pieces import Piece, find_pieces, gather_pitches, tied_asks
from clubplanner.sharing.values.problem import Placement
from clubplanner.sharing.values.wants import Pair, PairKind
from tests.sharing.builders import make_ask, make_pitch, make_problem

TWO = (*make_pitch("p", venue="park"), *make_pitch("q", venue="quay"))
PARK, QUAY = frozenset({"park"}), frozenset({"quay"})


def test_squads_of_two_venues_fall_apart() -> None:
    """Without anything in common each venue is a piece; whoever has no place is one without."""
    problem = make_problem(
        TWO,
        make_ask("a", venues=PARK),
        make_ask("b", venues=QUAY),
        make_ask("c", venues=PARK),
        make_ask("d", possible=()),
    )
    terrain = survey(problem)
    pieces = find_pieces(terrain, look(terrain))
    assert pieces == [Piece((0, 2), (0,)), Piece((1,), (1,)), Piece((3,), ())]


def test_a_coach_a_pair_or_a_squad_that_may_be_at_both_ties_two_venues() -> None:
    """Each of these makes one piece of the two."""
    ties = (
        ((make_ask("a", venues=PARK, coach="Kim"), make_ask("b", venues=QUAY, coach="Kim")), ()),
        ((make_ask("a", venues=PARK), make_ask("b", venues=QUAY), make_ask("c")), ()),
        (
            (make_ask("a", venues=PARK), make_ask("b", venues=QUAY)),
            (Pair(PairKind.SAME_EVENING, "squad a", "squad b"),),
        ),
    )
    for asks, pairs in ties:
        problem = make_problem(TWO, *asks, pairs=pairs)
        terrain = survey(problem)
        (piece,) = find_pieces(terrain, look(terrain))
        assert piece.pitches == (0, 1)
        assert len(piece.asks) == len(asks)


def test_a_pinned_session_ties_its_ask_to_where_it_is() -> None:
    """A squad that may be at one venue and is pinned at another joins the two."""
    pin = Placement("a", 0, "q-whole-0", 0, 1080, 1140)
    problem = make_problem(
        TWO, make_ask("a", sessions=2, venues=PARK, pinned=(pin,)), make_ask("b", venues=QUAY)
    )
    terrain = survey(problem)
    assert len(find_pieces(terrain, look(terrain))) == 1


def test_every_pitch_is_gathered_once_and_every_ask_given_once() -> None:
    """Groups divide the pitches; asks with a coach in common go together, where they can be."""
    problem = example(120, 16, 2, 1.0)
    terrain = survey(problem)
    known = look(terrain)
    for piece in find_pieces(terrain, known):
        groups = gather_pitches(terrain, known, piece, 4_000)
        assert sorted(n for group in groups for n in group) == list(piece.pitches)
        given = allot(terrain, known, piece, groups)
        all_given = [n for own in given for n in own]
        assert len(all_given) == len(set(all_given))
        assert set(all_given) <= set(piece.asks)
        group_of = {n: g for g, own in enumerate(given) for n in own}
        for team in tied_asks(problem):
            assert len({group_of[n] for n in team if n in group_of}) <= 1
        for n, group in group_of.items():
            assert known.places[n, list(groups[group])].any()


def test_groups_become_equally_full() -> None:
    """Squads that could be anywhere are spread over the venues."""
    asks = [make_ask(f"{n}") for n in range(12)]
    problem = make_problem(TWO, *asks)
    terrain = survey(problem)
    piece = Piece(tuple(range(12)), (0, 1))
    given = allot(terrain, look(terrain), piece, [(0,), (1,)])
    assert [len(own) for own in given] == [6, 6]
