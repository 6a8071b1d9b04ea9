"""Places from pasted text: coordinates in either order, `geo:` URIs, any link with coordinates."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.inputs.ground_files.pasted_place import ZONE_KM, geo_uri, read_place, spots_near

HERE = (1.75, 52.47)
SWAPPED = (52.47, 1.75)


@pytest.mark.parametrize(
    ("text", "spots"),
    [
        # RFC 5870, sections 1 and 6.1 to 6.3: latitude first, altitude and parameters after it
        ("geo:13.4125,103.8667", [(103.8667, 13.4125)]),
        ("geo:48.2010,16.3695,183", [(16.3695, 48.201)]),
        ("geo:48.198634,16.371648;crs=wgs84;u=40", [(16.371648, 48.198634)]),
        ("geo:90,-22.43;crs=WGS84", [(-22.43, 90)]),
        ("GEO:52.47,1.75", [HERE]),
        # either order where only one can be
        ("-33.8600, 151.2111", [(151.2111, -33.86)]),
        ("151.2111 -33.86", [(151.2111, -33.86)]),
        ("[151.2111, −33.86]", [(151.2111, -33.86)]),
        # in doubt both, latitude first before
        ("52.47, 1.75", [HERE, SWAPPED]),
        ("52,47 1,75", [HERE, SWAPPED]),
        ("52,47; 1,75", [HERE, SWAPPED]),
        # letters leave no doubt
        ("52.47 N, 1.75 E", [HERE]),
        ("52,47° N 1,75° O", [HERE]),
        ("E 1.75 N 52.47", [HERE]),
        ("52°28'12\"N 1°45'0\"E", [HERE]),
        ("33° 51′ 36″ S, 151° 12′ 40″ W", [(-151.211111, -33.86)]),
        # any link
        ("https://maps.example/?lat=52.47&lon=1.75&z=17", [HERE]),
        ("https://maps.example/?mlon=1.75&mlat=52.47#map=9/0.1000/0.2000", [HERE]),
        ("https://maps.example/#map=17/52.47000/1.75000", [HERE, SWAPPED]),
        ("https://maps.example/place/@52.4700,1.7500,17z", [HERE, SWAPPED]),
        ("https://maps.example/?q=52.4700%2C1.7500", [HERE, SWAPPED]),
        ("https://maps.example/?center=151.2111,-33.8600", [(151.2111, -33.86)]),
        ("https://maps.example/@52.4701,1.7501,17z/pin/52.4700,1.7500", None),
        # nothing there
        ("", []),
        ("behind the church", []),
        ("https://maps.example/short/aBcD", []),
        ("geo:95,200", []),
        ("12", []),
    ],
)
def test_a_place_is_found(text: str, spots: list[tuple[float, float]] | None) -> None:
    """However it was copied; where the order is in doubt both places are given."""
    found = read_place(text)
    if spots is None:
        assert len(found) == 2, "a view and a pin beside it are one place"
        return
    assert len(found) == len(spots)
    for one, wanted in zip(found, spots, strict=True):
        assert one == pytest.approx(wanted, abs=1e-6)


def test_a_place_near_the_clubs_others_is_meant() -> None:
    """Nobody is asked what the club's own grounds answer; far from all of them, both stay."""
    both = read_place("52.47, 1.75")
    assert spots_near(both, [(1.3, 52.6)]) == (HERE,)
    assert spots_near(both, [(151.2, -33.9)]) == both
    assert spots_near(both, []) == both
    assert spots_near(both, [(-0.13, 51.51)], ZONE_KM) == (HERE,), "where the time zone is"


@given(st.floats(-180, 180), st.floats(-90, 90))
def test_a_uri_reads_back(lon: float, lat: float) -> None:
    """To the centimetre, whatever the place."""
    (spot,) = read_place(geo_uri((lon, lat)))
    assert spot == pytest.approx((lon, lat), abs=6e-8)


@given(st.text(max_size=60))
def test_no_text_is_thrown_back(text: str) -> None:
    """Any text gives places on earth or none."""
    assert all(abs(lon) <= 180 and abs(lat) <= 90 for lon, lat in read_place(text))
