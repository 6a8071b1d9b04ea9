"""Messages to phones against the worked example of their standard."""

from __future__ import annotations

from clubplanner.outputs.pushes.encryption import (
    BrowserKeys,
    as_words,
    encrypt,
    from_words,
    point_of,
)
from clubplanner.outputs.pushes.signature import key_from_words

TEXT = b"When I grow up, I want to be a watermelon"
OWN = "yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw"
OWN_PUBLIC = (
    "BP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A8"
)
THEIRS = "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
AUTH = "BTBZMqHH6r4Tts7J_aSIgg"
SALT = "DGv6ra1nlYgDCS1FRnbzlw"
MESSAGE = (
    "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS"
    "6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qu"
    "lcy4a-fN"
)


def test_the_worked_example_of_the_standard_comes_out_to_the_octet() -> None:
    """RFC 8291, section 5 and appendix A; the values are from memory, and fit one another."""
    own = key_from_words(OWN)
    assert as_words(point_of(own)) == OWN_PUBLIC
    keys = BrowserKeys(from_words(THEIRS), from_words(AUTH))
    assert as_words(encrypt(TEXT, keys, own, from_words(SALT))) == MESSAGE
