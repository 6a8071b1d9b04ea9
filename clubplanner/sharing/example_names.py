"""Made-up names for examples; what squads are called after flies, swims or grows."""

from __future__ import annotations

FLOCKS = tuple(
    (
        "Kestrels Curlews Avocets Plovers Terns Dunlins Wagtails Siskins Linnets Fieldfares "
        "Redstarts Nightjars Lapwings Goldcrests Dippers Whinchats Sandpipers Ospreys Merlins "
        "Kingfishers Bitterns Goshawks Corncrakes Turnstones Puffins Gannets Shearwaters Petrels "
        "Skuas Razorbills Treecreepers Nuthatches Warblers Swifts Martins Buntings Crossbills "
        "Waxwings Ptarmigans Pipits Shrikes Stonechats Wheatears Godwits Whimbrels Knots "
        "Sanderlings Greenshanks Otters Martens Dormice Hares Voles Badgers Hedgehogs Weasels "
        "Newts Lizards Salmon Sticklebacks Barbels Trout Damselflies Dragonflies Fritillaries "
        "Skippers Hawkmoths Lacewings Mayflies Alders Hazels Rowans Hawthorns Sorrels Bracken "
        "Campions Teasels Foxgloves Cowslips Harebells Yarrows Clovers Junipers Larches Spruces "
        "Aspens Willows Maples Brambles Gorse Heathers Thistles Comets Meteors"
    ).split()
)
COACH_FIRST = tuple(
    (
        "Kim Lou Sam Alex Robin Jo Chris Pat Ash Toni Rene Nico Sasha Ari Noor Yuki Remy Devi "
        "Mika Lane Ray Quinn Jude Rowan Skye Bo Cleo Dana Eli Fran Gale Harper"
    ).split()
)
COACH_LAST = tuple(
    (
        "Marlow Pell Tranter Ibbot Quill Sorley Vane Wickes Yarrow Ambrose Birkett Carrow Denby "
        "Esker Fenn Garrick Hollin Inchley Jarrold Kerse Lusk Mabey Norrell Orme Pask Quarrie "
        "Rudd Sayle Tolley Upshall Verrall Wragg Yelland Zeller Ostrey Halloway Brill Crane "
        "Dace Ely"
    ).split()
)
