"""Made-up names for examples; what squads are called after flies, swims or grows."""

from __future__ import annotations

_FLOCKS_IN_A_ROW = (
    "Kestrels Curlews Avocets Plovers Terns Dunlins Wagtails Siskins Linnets Fieldfares "
    "Redstarts Nightjars Lapwings Goldcrests Dippers Whinchats Sandpipers Harriers Merlins "
    "Kingfishers Bitterns Goshawks Corncrakes Turnstones Puffins Gannets Shearwaters Petrels "
    "Skuas Razorbills Treecreepers Nuthatches Warblers Swifts Martins Buntings Crossbills "
    "Waxwings Ptarmigans Pipits Shrikes Stonechats Wheatears Godwits Whimbrels Knots "
    "Sanderlings Greenshanks Otters Martens Dormice Hares Voles Badgers Hedgehogs Weasels "
    "Newts Lizards Salmon Sticklebacks Barbels Trout Damselflies Dragonflies Fritillaries "
    "Skippers Hawkmoths Lacewings Mayflies Alders Hazels Rowans Hawthorns Sorrels Bracken "
    "Campions Teasels Foxgloves Cowslips Harebells Yarrows Clovers Junipers Larches Spruces "
    "Aspens Willows Maples Brambles Gorse Heathers Thistles Comets Meteors"
)
FLOCKS = tuple(_FLOCKS_IN_A_ROW.split())
_COACH_FIRST_IN_A_ROW = (
    "Kim Lou Sam Alex Robin Jo Chris Pat Ash Toni Rene Nico Sasha Ari Noor Yuki Remy Devi "
    "Mika Lane Ray Quinn Jude Rowan Skye Bo Cleo Dana Eli Fran Gale Harper"
)
COACH_FIRST = tuple(_COACH_FIRST_IN_A_ROW.split())
_COACH_LAST_IN_A_ROW = (
    "Marlow Pell Tranter Ibbot Quill Sorley Vane Wickes Yarrow Ambrose Birkett Carrow Denby "
    "Esker Fenn Garrick Hollin Inchley Jarrold Kerse Lusk Mabey Norrell Orme Pask Quarrie "
    "Rudd Sayle Tolley Upshall Verrall Wragg Yelland Zeller Ostrey Halloway Brill Crane "
    "Dace Ely"
)
COACH_LAST = tuple(_COACH_LAST_IN_A_ROW.split())
