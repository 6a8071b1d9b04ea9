"""What a form offers of a list that may be very long."""

from __future__ import annotations

from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.services.showing.choosing.narrowing import MOST_FOUND, MOST_TICKED, offer

NAMES = ("Larks", "Finches", "Rooks", "Terns")


def squads(count: int) -> list[Choice]:
    """Return squads of two clubs, each called by age and bird."""
    return [
        Choice(
            f"s{n}",
            f"U{8 + n % 11} {NAMES[n % 4]} {n:03}",
            note=f"Coach {n % 7}",
            group="Weir" if n % 2 else "Brook",
        )
        for n in range(count)
    ]


def test_a_short_list_is_offered_whole() -> None:
    """Whatever is chosen or looked for, nothing is left out of it and nothing stands twice."""
    listed = squads(MOST_TICKED)
    found = offer(listed, ["s3"], "nothing like it")
    assert found.is_whole
    assert found.found == tuple(listed)
    assert found.chosen == ()


def test_of_a_long_one_what_is_chosen_stays() -> None:
    """Nothing is looked for by itself; what is ticked is there in the order of the list."""
    found = offer(squads(MOST_TICKED + 1), ["s9", "s3", "gone"])
    assert not found.is_whole
    assert [one.value for one in found.chosen] == ["s3", "s9"]
    assert found.found == ()
    assert found.total == MOST_TICKED + 1


def test_each_word_begins_a_word_of_what_an_entry_goes_by() -> None:
    """Name, note, group: capitals make no difference, and what is chosen is not found again."""
    listed = squads(300)
    finches = [one for one in listed if one.words.startswith("U9 Finches")]
    assert offer(listed, [], "u9 FIN brook").found == ()  # the finches are of the other club
    assert offer(listed, [], "u9 FIN weir").found == tuple(finches)
    assert offer(listed, [finches[0].value], "u9 fin").found == tuple(finches[1:])
    assert all(one.note == "Coach 3" for one in offer(listed, [], "coach 3 larks").found)
    assert offer(listed, [], "zzz").found == ()


def test_what_is_called_just_so_is_never_left_out() -> None:
    """Of more than are shown the nearest are, and the rest is counted."""
    listed = [*(Choice(str(n), f"Rovers U12 {n}") for n in range(900)), Choice("last", "U12")]
    found = offer(listed, [], "u12")
    assert "last" in {one.value for one in found.found}
    assert len(found.found) == MOST_FOUND
    assert found.more == len(listed) - MOST_FOUND


def test_groups_stand_together() -> None:
    """What is found stands under the headings of the list, in its order."""
    listed = sorted(squads(300), key=lambda one: one.group)
    assert [group for group, _held in offer(listed, [], "larks").groups] == ["Brook"]
    assert [group for group, _held in offer(listed, [], "u8").groups] == ["Brook", "Weir"]
