"""Drawings: SVG of our own, words that find their place, pictures.

Own code that stays, held against libraries that do it in November 2026. Widths of text
(`svg.text_width`, 30 lines): none of 1,656 texts is thought too narrow, the median a tenth too
wide. Exact ones by `fontTools` (30 MB, 0.2 s at start) show 27 letters more of 3,027 on 36 plans of
the demo, and no plan there needs its key less.

Drawings are SVG made by our own few functions, with presentation attributes only (strict CSP, same
bytes everywhere), hatches are clipped lines, and the PNG is the same drawing; letters that its font
lacks lose their marks there (`outputs/drawings/glyphs.py`), scripts that it lacks altogether come
out as boxes. Own ground: heavy border, no hatch; so it is told apart in grey.

No words of a drawing lie over anything (`outputs/drawings/lettering.py`). Lines and signs say first
what they take up; words then ask for a place: in the middle, in more lines, smaller (never under
12.5 units of 360, 11 px on a narrow phone), elsewhere on their ground; a name's times go before it
does. What finds no place gets a letter, or the number it has already, on its ground or beside it
with a line, and stands in a key below the drawing, so that page, picture and paper all have it;
where a table beside the plan repeats the numbers, the table is the key. Charts give names up to
three lines, then cut them off. Widths are `svg.text_width`, held against the fonts. Where ground
changes hands during a session the drawing shows its start; words beside it say who comes later.
"""
