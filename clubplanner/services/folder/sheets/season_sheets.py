"""The sheets of seasons, their limits and holidays, and of what the club says to everybody."""

from __future__ import annotations

from clubplanner.services.folder.sheets.columns import (
    Column,
    Day,
    Instant,
    Json,
    Number,
    Optional,
    Ref,
    Text,
    YesNo,
)
from clubplanner.services.folder.sheets.items import Item
from clubplanner.services.folder.sheets.sheet import SQUAD, Sheet
from clubplanner.store.tables.club_tables import NoticeBoardRow
from clubplanner.store.tables.pasting_tables import TableHeadingRow
from clubplanner.store.tables.season_tables import (
    HolidayPlaceRow,
    SquadSeasonRow,
    TrainingHolidayRow,
    WearLimitRow,
)
from clubplanner.store.tables.squad_tables import SquadEndRow
from clubplanner.store.tables.turn_tables import NextSeasonAnswerRow, SeasonRow, SquadNameRow

OF_SEASONS = (
    Sheet(
        "squad-seasons.csv",
        SquadSeasonRow,
        (
            SQUAD,
            Column("starts", "starts_on", Optional(Day())),
            Column("ends", "ends_on", Optional(Day())),
        ),
        "squads whose season is another than the club's",
        is_sorted=True,
    ),
    Sheet(
        "squad-ends.csv",
        SquadEndRow,
        (
            SQUAD,
            Column("from", "from_day", Day()),
            Column("why", "why", Text()),
            Column("goes on in", "goes_on_in_id", Optional(Ref("squad"))),
        ),
        "squads that end: the first date without them",
        is_sorted=True,
    ),
    Sheet(
        "seasons.csv",
        SeasonRow,
        (
            Column("starts", "starts_on", Day()),
            Column("made", "made_at", Instant(is_now=True)),
        ),
        "seasons that were begun in one go",
        called_by="starts_on",
        given={"kept": dict},
    ),
    Sheet(
        "earlier-names.csv",
        SquadNameRow,
        (
            SQUAD,
            Column("season", "season_id", Ref("season")),
            Column("until", "until", Instant()),
            Column("name", "name", Text()),
        ),
        "what squads were called in seasons that are over",
    ),
    Sheet(
        "next-season.csv",
        NextSeasonAnswerRow,
        (
            Column("about", "item", Item()),
            Column("typed", "given", Json()),
            Column("by", "by", Text()),
        ),
        "what was typed of a season that is not begun yet",
        is_sorted=True,
        only_with="about",
    ),
    Sheet(
        "grass-limits.csv",
        WearLimitRow,
        (
            Column("pitch", "pitch_id", Ref("pitch")),
            Column("hours", "hours", Optional(Number())),
            Column("matches", "matches", Optional(Number())),
            Column("source", "source", Text()),
            Column("quality", "quality", Text()),
        ),
        "what a pitch bears in a week",
        is_sorted=True,
    ),
    Sheet(
        "holidays-of.csv",
        HolidayPlaceRow,
        (Column("country", "country", Text()), Column("region", "region", Text())),
        "whose public holidays count",
        given={"id": lambda: 1},
    ),
    Sheet(
        "training-holidays.csv",
        TrainingHolidayRow,
        (Column("date", "day", Day()),),
        "public holidays on which there is training",
        is_sorted=True,
    ),
    Sheet(
        "notice-board.csv",
        NoticeBoardRow,
        (
            Column("on", "is_on", YesNo()),
            Column("changed", "changed_at", Instant(is_now=True)),
        ),
        "whether the notice board is on",
        given={"id": lambda: 1},
    ),
    Sheet(
        "headings.csv",
        TableHeadingRow,
        (
            Column("kind", "kind", Text()),
            Column("heading", "heading", Text()),
            Column("means", "means", Text()),
        ),
        "what the headings of the club's own tables mean",
        is_sorted=True,
    ),
)
