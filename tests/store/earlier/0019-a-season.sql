-- {"squad": "zgEyQYCIP5jbVAtV9lrzTuv2TwpBjorH", "coach": "r7gHcQF101TK7ueSkex9JZLUwiZvERNU", "pitch": "l7RrEsjRh9mlj8Sq3EwkkRlzu_YDL_sG", "browsers": {"secretary": "vvRVw_VzUbka_gSbN9Mt0KOO2FWIr5cm", "coach": "l4pdZmi6l4J7NHHZ47zW9E_71VuV57Eo", "groundskeeper": "W1OeFTju47C4Ojc-C4-srMYa0OKk7Glx"}, "password": "four words of a secretary"}
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0019');
CREATE TABLE area (
	id INTEGER NOT NULL, 
	pitch_id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	position INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	cut VARCHAR NOT NULL, 
	polygon BLOB NOT NULL, 
	cells BIGINT NOT NULL, 
	twelfths INTEGER, 
	redrawn_at BIGINT, 
	CONSTRAINT pk_area PRIMARY KEY (id), 
	CONSTRAINT ck_area_has_ground CHECK (cells > 0), 
	CONSTRAINT fk_area_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id), 
	CONSTRAINT uq_area_pitch_id_key UNIQUE (pitch_id, "key"), 
	CONSTRAINT uq_area_id_pitch_id UNIQUE (id, pitch_id), 
	CONSTRAINT ck_area_pitch_id_kind CHECK (typeof("pitch_id") = 'integer'), 
	CONSTRAINT ck_area_key_kind CHECK (typeof("key") = 'text'), 
	CONSTRAINT ck_area_position_kind CHECK (typeof("position") = 'integer'), 
	CONSTRAINT ck_area_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_area_cut_kind CHECK (typeof("cut") = 'text'), 
	CONSTRAINT ck_area_polygon_kind CHECK (typeof("polygon") = 'blob'), 
	CONSTRAINT ck_area_cells_kind CHECK (typeof("cells") = 'integer'), 
	CONSTRAINT ck_area_twelfths_kind CHECK ("twelfths" IS NULL OR typeof("twelfths") = 'integer'), 
	CONSTRAINT ck_area_redrawn_at_kind CHECK ("redrawn_at" IS NULL OR typeof("redrawn_at") = 'integer')
);
INSERT INTO "area" VALUES(1,1,'whole',0,'Whole of Top pitch','whole',X'010300000001000000050000000000000000005940000000000000000000000000000059400000000000005040000000000000000000000000000050400000000000000000000000000000000000000000000059400000000000000000',15,12,NULL);
INSERT INTO "area" VALUES(2,1,'half-1',1,'Clubhouse half','halves',X'010300000001000000050000000000000000004940000000000000000000000000000000000000000000000000000000000000000000000000000050400000000000004940000000000000504000000000000049400000000000000000',3,6,NULL);
INSERT INTO "area" VALUES(3,1,'half-2',2,'Road half','halves',X'010300000001000000050000000000000000004940000000000000000000000000000049400000000000005040000000000000594000000000000050400000000000005940000000000000000000000000000049400000000000000000',12,6,NULL);
INSERT INTO "area" VALUES(4,1,'third-1',3,'Clubhouse third','thirds',X'01030000000100000005000000B4C876BE9FAA404000000000000000000000000000000000000000000000000000000000000000000000000000005040B4C876BE9FAA40400000000000005040B4C876BE9FAA40400000000000000000',1,4,NULL);
INSERT INTO "area" VALUES(5,1,'third-2',4,'Middle third','thirds',X'01030000000100000005000000A69BC420B0AA50400000000000000000B4C876BE9FAA40400000000000000000B4C876BE9FAA40400000000000005040A69BC420B0AA50400000000000005040A69BC420B0AA50400000000000000000',6,4,NULL);
INSERT INTO "area" VALUES(6,1,'third-3',5,'Road third','thirds',X'01030000000100000005000000A69BC420B0AA50400000000000000000A69BC420B0AA504000000000000050400000000000005940000000000000504000000000000059400000000000000000A69BC420B0AA50400000000000000000',8,4,NULL);
INSERT INTO "area" VALUES(7,2,'whole',0,'Whole of Low pitch','whole',X'010300000001000000050000000000000000004E4000000000000000000000000000004E40000000000000444000000000000000000000000000004440000000000000000000000000000000000000000000004E400000000000000000',3,12,NULL);
INSERT INTO "area" VALUES(8,2,'half-1',1,'Clubhouse half','halves',X'010300000001000000050000000000000000003E40000000000000000000000000000000000000000000000000000000000000000000000000000044400000000000003E4000000000000044400000000000003E400000000000000000',1,6,NULL);
INSERT INTO "area" VALUES(9,2,'half-2',2,'Road half','halves',X'010300000001000000050000000000000000003E4000000000000000000000000000003E4000000000000044400000000000004E4000000000000044400000000000004E4000000000000000000000000000003E400000000000000000',2,6,NULL);
INSERT INTO "area" VALUES(10,3,'whole',0,'Whole of Hall','whole',X'010300000001000000050000000000000000003E4000000000000000000000000000003E40000000000000344000000000000000000000000000003440000000000000000000000000000000000000000000003E400000000000000000',3,12,NULL);
INSERT INTO "area" VALUES(11,3,'half-1',1,'Clubhouse half','halves',X'010300000001000000050000000000000000002E40000000000000000000000000000000000000000000000000000000000000000000000000000034400000000000002E4000000000000034400000000000002E400000000000000000',1,6,NULL);
INSERT INTO "area" VALUES(12,3,'half-2',2,'Road half','halves',X'010300000001000000050000000000000000002E4000000000000000000000000000002E4000000000000034400000000000003E4000000000000034400000000000003E4000000000000000000000000000002E400000000000000000',2,6,NULL);
CREATE TABLE ask (
	id INTEGER NOT NULL, 
	squad_id INTEGER NOT NULL, 
	sessions INTEGER NOT NULL, 
	minutes INTEGER NOT NULL, 
	possible JSON NOT NULL, 
	preferred JSON NOT NULL, 
	least_m2 DOUBLE NOT NULL, 
	least_share DOUBLE NOT NULL, 
	least_format VARCHAR NOT NULL, 
	surfaces JSON NOT NULL, 
	needs_goal BOOLEAN NOT NULL, 
	needs_light BOOLEAN NOT NULL, 
	priority INTEGER NOT NULL, 
	latest_finish_min INTEGER, 
	rest_days INTEGER NOT NULL, 
	no_day_before JSON NOT NULL, 
	no_day_after JSON NOT NULL, 
	wishes JSON NOT NULL, 
	partners JSON NOT NULL, 
	most_in_a_row INTEGER, 
	CONSTRAINT pk_ask PRIMARY KEY (id), 
	CONSTRAINT fk_ask_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT ck_ask_less_than_a_week CHECK (most_in_a_row BETWEEN 1 AND 6), 
	CONSTRAINT ck_ask_squad_id_kind CHECK (typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_ask_sessions_kind CHECK (typeof("sessions") = 'integer'), 
	CONSTRAINT ck_ask_minutes_kind CHECK (typeof("minutes") = 'integer'), 
	CONSTRAINT ck_ask_possible_kind CHECK (typeof("possible") = 'text'), 
	CONSTRAINT ck_ask_preferred_kind CHECK (typeof("preferred") = 'text'), 
	CONSTRAINT ck_ask_least_m2_kind CHECK (typeof("least_m2") = 'real'), 
	CONSTRAINT ck_ask_least_share_kind CHECK (typeof("least_share") = 'real'), 
	CONSTRAINT ck_ask_least_format_kind CHECK (typeof("least_format") = 'text'), 
	CONSTRAINT ck_ask_surfaces_kind CHECK (typeof("surfaces") = 'text'), 
	CONSTRAINT ck_ask_needs_goal_kind CHECK ("needs_goal" IN (0, 1)), 
	CONSTRAINT ck_ask_needs_light_kind CHECK ("needs_light" IN (0, 1)), 
	CONSTRAINT ck_ask_priority_kind CHECK (typeof("priority") = 'integer'), 
	CONSTRAINT ck_ask_latest_finish_min_kind CHECK ("latest_finish_min" IS NULL OR typeof("latest_finish_min") = 'integer'), 
	CONSTRAINT ck_ask_rest_days_kind CHECK (typeof("rest_days") = 'integer'), 
	CONSTRAINT ck_ask_no_day_before_kind CHECK (typeof("no_day_before") = 'text'), 
	CONSTRAINT ck_ask_no_day_after_kind CHECK (typeof("no_day_after") = 'text'), 
	CONSTRAINT ck_ask_wishes_kind CHECK (typeof("wishes") = 'text'), 
	CONSTRAINT ck_ask_partners_kind CHECK (typeof("partners") = 'text'), 
	CONSTRAINT ck_ask_most_in_a_row_kind CHECK ("most_in_a_row" IS NULL OR typeof("most_in_a_row") = 'integer')
);
INSERT INTO "ask" VALUES(1,1,1,75,'[[2, 1080, 1155]]','[]',0.0,3.33333333333333314829e-01,'','[]',0,0,1,NULL,0,'[]','[]','[]','[]',NULL);
INSERT INTO "ask" VALUES(2,2,2,60,'[[0, 1080, 1200], [1, 1080, 1200], [2, 1080, 1200], [3, 1080, 1200], [4, 1080, 1200]]','[]',0.0,3.33333333333333314829e-01,'','[]',0,0,1,NULL,0,'[]','[]','[]','[]',NULL);
CREATE TABLE booking (
	id INTEGER NOT NULL, 
	uid VARCHAR NOT NULL, 
	pitch_id INTEGER NOT NULL, 
	area_id INTEGER NOT NULL, 
	cells BIGINT NOT NULL, 
	starts_at BIGINT NOT NULL, 
	ends_at BIGINT NOT NULL, 
	purpose VARCHAR(16) NOT NULL, 
	squad_id INTEGER, 
	holder VARCHAR NOT NULL, 
	note VARCHAR NOT NULL, 
	is_withdrawn BOOLEAN NOT NULL, 
	is_fixed BOOLEAN NOT NULL, 
	share_out_id INTEGER, 
	sequence INTEGER NOT NULL, 
	created_at BIGINT NOT NULL, 
	changed_at BIGINT NOT NULL, 
	overruled VARCHAR DEFAULT '' NOT NULL, 
	CONSTRAINT pk_booking PRIMARY KEY (id), 
	CONSTRAINT ck_booking_has_ground CHECK (cells > 0), 
	CONSTRAINT ck_booking_runs_forward CHECK (ends_at > starts_at), 
	CONSTRAINT fk_booking_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id), 
	CONSTRAINT fk_booking_share_out_id FOREIGN KEY(share_out_id) REFERENCES share_out (id), 
	CONSTRAINT fk_booking_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT uq_booking_uid UNIQUE (uid), 
	CONSTRAINT ck_booking_purpose CHECK (purpose IN ('training', 'match', 'hire', 'closed')), 
	CONSTRAINT fk_booking_area_id_pitch_id FOREIGN KEY(area_id, pitch_id) REFERENCES area (id, pitch_id), 
	CONSTRAINT ck_booking_uid_kind CHECK (typeof("uid") = 'text'), 
	CONSTRAINT ck_booking_pitch_id_kind CHECK (typeof("pitch_id") = 'integer'), 
	CONSTRAINT ck_booking_area_id_kind CHECK (typeof("area_id") = 'integer'), 
	CONSTRAINT ck_booking_cells_kind CHECK (typeof("cells") = 'integer'), 
	CONSTRAINT ck_booking_starts_at_kind CHECK (typeof("starts_at") = 'integer'), 
	CONSTRAINT ck_booking_ends_at_kind CHECK (typeof("ends_at") = 'integer'), 
	CONSTRAINT ck_booking_purpose_kind CHECK (typeof("purpose") = 'text'), 
	CONSTRAINT ck_booking_squad_id_kind CHECK ("squad_id" IS NULL OR typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_booking_holder_kind CHECK (typeof("holder") = 'text'), 
	CONSTRAINT ck_booking_note_kind CHECK (typeof("note") = 'text'), 
	CONSTRAINT ck_booking_is_withdrawn_kind CHECK ("is_withdrawn" IN (0, 1)), 
	CONSTRAINT ck_booking_is_fixed_kind CHECK ("is_fixed" IN (0, 1)), 
	CONSTRAINT ck_booking_share_out_id_kind CHECK ("share_out_id" IS NULL OR typeof("share_out_id") = 'integer'), 
	CONSTRAINT ck_booking_sequence_kind CHECK (typeof("sequence") = 'integer'), 
	CONSTRAINT ck_booking_created_at_kind CHECK (typeof("created_at") = 'integer'), 
	CONSTRAINT ck_booking_changed_at_kind CHECK (typeof("changed_at") = 'integer'), 
	CONSTRAINT ck_booking_overruled_kind CHECK (typeof("overruled") = 'text')
);
INSERT INTO "booking" VALUES(1,'d0f2465d-0eb6-4b89-b2eb-ed5c36d0a54b@clubplanner',1,4,1,1793815200,1793819700,'training',1,'u12-kestrels','',0,1,NULL,0,1793016007,1793016007,'');
INSERT INTO "booking" VALUES(2,'108c8393-b4c9-44d5-b396-8ddb9779e8a1@clubplanner',1,5,6,1793815200,1793819700,'training',2,'u14-harriers','',0,1,NULL,0,1793016007,1793016007,'');
INSERT INTO "booking" VALUES(3,'36b5bf7f-2a45-4e61-aeb9-d4bf3f6af2a1@clubplanner',1,4,1,1793901600,1793906100,'training',1,'u12-kestrels','',1,1,NULL,1,1793016007,1793016007,'');
INSERT INTO "booking" VALUES(4,'6294ca5f-342e-4cd6-b8d2-c9d06b81d6ad@clubplanner',1,6,8,1795629600,1795634100,'hire',NULL,'Hill Runners','Bring cones',0,1,NULL,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(5,'3527fc12-9734-4693-9844-b238febcf31d@clubplanner',1,4,1,1795629600,1795634100,'training',1,'u12-kestrels','',0,1,NULL,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(6,'c4491e2a-d5e8-4b4c-ae90-f9c87d09c745@clubplanner',1,5,6,1795629600,1795634100,'training',2,'u14-harriers','',0,1,NULL,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(7,'3d5bc1b0-cda9-4688-bb48-d412fb6ee882@clubplanner',1,5,6,1794860100,1794863700,'training',2,'u14-harriers','',0,1,NULL,1,1794830407,1794830407,'The committee wants it.');
INSERT INTO "booking" VALUES(8,'48797d35-fb67-4fec-bde8-861b0f853b5e@clubplanner',3,11,1,1795024800,1795029300,'training',1,'U12 Kestrels','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(9,'f4aefe3c-a11e-4801-937e-dda5b1dbe8ab@clubplanner',1,4,1,1795114800,1795118400,'training',2,'U14 Harriers','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(10,'74629944-ba93-49eb-b5ce-538a067a2ba7@clubplanner',1,4,1,1795201200,1795204800,'training',2,'U14 Harriers','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(11,'76ddb961-f212-4131-b5ca-8b0b64a98992@clubplanner',3,11,1,1795629600,1795634100,'training',1,'U12 Kestrels','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(12,'ab89ef52-874a-449b-b4ef-302f69f8e4cb@clubplanner',1,4,1,1795719600,1795723200,'training',2,'U14 Harriers','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(13,'e8af13f5-4644-451a-ac04-e16e38a540c8@clubplanner',1,4,1,1795806000,1795809600,'training',2,'U14 Harriers','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(14,'66670761-b1c1-494c-bbfe-b1ed4637ec14@clubplanner',3,11,1,1796234400,1796238900,'training',1,'U12 Kestrels','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(15,'cba6e6fc-7e30-4d07-bf33-c8b4464a15b5@clubplanner',1,4,1,1796324400,1796328000,'training',2,'U14 Harriers','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(16,'d5af7655-a4a6-4ed8-a532-a1d8954ec297@clubplanner',1,4,1,1796410800,1796414400,'training',2,'U14 Harriers','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(17,'a66d5950-398f-4bdd-84b6-889e6127a3b0@clubplanner',3,11,1,1797444000,1797448500,'training',1,'U12 Kestrels','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(18,'f05d0cfa-c8a6-4435-b561-26fb0026ce2e@clubplanner',1,4,1,1797534000,1797537600,'training',2,'U14 Harriers','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(19,'fd0bb6e9-06b6-43e8-858c-292cf383a7e9@clubplanner',1,4,1,1797620400,1797624000,'training',2,'U14 Harriers','',0,0,1,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(20,'0927e935-50a5-47b1-a648-f043be9225f2@clubplanner',3,10,3,1795802400,1795806000,'training',1,'U12 Kestrels','Before the final',0,1,NULL,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(21,'8a7b0647-a94e-42d5-8571-872937a9330c@clubplanner',2,7,3,1795132800,1795219200,'closed',NULL,'waterlogged','',0,1,NULL,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(22,'8fb5a420-4e06-4aca-beba-c0058615779b@clubplanner',2,7,3,1795219200,1795305600,'closed',NULL,'waterlogged','',0,1,NULL,0,1794830407,1794830407,'');
INSERT INTO "booking" VALUES(23,'2a49ec5b-3bdf-463d-adb0-dc7c906dc058@clubplanner',3,10,3,1794938407,1794942007,'hire',NULL,'Parish council','Choir',0,1,NULL,0,1794830407,1794830407,'');
CREATE TABLE booking_change (
	id INTEGER NOT NULL, 
	at BIGINT NOT NULL, 
	"by" VARCHAR NOT NULL, 
	words VARCHAR NOT NULL, 
	undoes_id INTEGER, 
	CONSTRAINT pk_booking_change PRIMARY KEY (id), 
	CONSTRAINT fk_booking_change_undoes_id FOREIGN KEY(undoes_id) REFERENCES booking_change (id), 
	CONSTRAINT ck_booking_change_at_kind CHECK (typeof("at") = 'integer'), 
	CONSTRAINT ck_booking_change_by_kind CHECK (typeof("by") = 'text'), 
	CONSTRAINT ck_booking_change_words_kind CHECK (typeof("words") = 'text'), 
	CONSTRAINT ck_booking_change_undoes_id_kind CHECK ("undoes_id" IS NULL OR typeof("undoes_id") = 'integer')
);
INSERT INTO "booking_change" VALUES(1,1796017814,'the planner','loaded club.toml, marsh-lane.geojson, squads.csv, sizes.csv',NULL);
INSERT INTO "booking_change" VALUES(2,1796017815,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(3,1796017815,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(4,1796017815,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(5,1793016007,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(6,1793016007,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(7,1793016007,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(8,1793016007,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(9,1794830407,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(10,1794830407,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(11,1794830407,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(12,1794830407,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(13,1794830407,'the planner','U14 Harriers moved to Middle third, Top pitch, Mon 16 Nov 20:15–21:15, although: U14 Harriers ask for Mon-Fri 18:00-20:00. Because: The committee wants it',NULL);
INSERT INTO "booking_change" VALUES(14,1794830407,'the planner','published share-out 1, Winter',NULL);
INSERT INTO "booking_change" VALUES(15,1796017818,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(16,1796017818,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(17,1796017818,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(18,1796017818,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(19,1796017818,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(20,1796017818,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(21,1796017818,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(22,1796017818,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(23,1796017818,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(24,1794830407,'the planner','the waiting list was served',NULL);
INSERT INTO "booking_change" VALUES(25,1796017818,'the planner','said who comes, Wed 25 Nov',NULL);
INSERT INTO "booking_change" VALUES(26,1794830407,'the planner','closed Whole of Low pitch: waterlogged; 0 sessions moved, 0 withdrawn',NULL);
INSERT INTO "booking_change" VALUES(27,1796017818,'the planner','closed Whole of Low pitch: soft after rain; 0 sessions moved, 0 withdrawn',NULL);
INSERT INTO "booking_change" VALUES(28,1796017818,'the planner','made an address of U12 Kestrels for the squad',NULL);
INSERT INTO "booking_change" VALUES(29,1796017818,'the planner','made an address of Robin Hale for Robin Hale',NULL);
INSERT INTO "booking_change" VALUES(30,1796017818,'the planner','made an address of Top pitch, Marsh Lane for Alex Marsh',NULL);
INSERT INTO "booking_change" VALUES(31,1796017818,'the planner','made an address of U14 Harriers for Jo',NULL);
INSERT INTO "booking_change" VALUES(32,1796017818,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(33,1794830407,'the planner','read the calendar of Parish council',NULL);
CREATE TABLE browser (
	id INTEGER NOT NULL, 
	person_id INTEGER NOT NULL, 
	secret_hash VARCHAR NOT NULL, 
	about VARCHAR NOT NULL, 
	created_at BIGINT NOT NULL, 
	ends_at BIGINT NOT NULL, 
	CONSTRAINT pk_browser PRIMARY KEY (id), 
	CONSTRAINT fk_browser_person_id FOREIGN KEY(person_id) REFERENCES person (id), 
	CONSTRAINT uq_browser_secret_hash UNIQUE (secret_hash), 
	CONSTRAINT ck_browser_person_id_kind CHECK (typeof("person_id") = 'integer'), 
	CONSTRAINT ck_browser_secret_hash_kind CHECK (typeof("secret_hash") = 'text'), 
	CONSTRAINT ck_browser_about_kind CHECK (typeof("about") = 'text'), 
	CONSTRAINT ck_browser_created_at_kind CHECK (typeof("created_at") = 'integer'), 
	CONSTRAINT ck_browser_ends_at_kind CHECK (typeof("ends_at") = 'integer')
);
INSERT INTO "browser" VALUES(1,3,'3a32d8b137fb25d824d6e98fa356982c9c95ea3deb2befb61632a06c11f1a357','Firefox',1794830407,1797422407);
INSERT INTO "browser" VALUES(2,1,'ba869aa93e386ba67d0575e9f3bb3b5030d767d6d27fb29fadbb34e4dd1b367d','Chrome on Android',1794830407,1802606407);
INSERT INTO "browser" VALUES(3,4,'9e7b62c5bd69dc104cc0b3cc9c0adf78ca3184fc8b51cf991870d4d9c2954983','Chrome on Android',1794830407,1802606407);
CREATE TABLE busy_booking (
	booking_id INTEGER NOT NULL, 
	calendar_id INTEGER NOT NULL, 
	CONSTRAINT pk_busy_booking PRIMARY KEY (booking_id), 
	CONSTRAINT fk_busy_booking_booking_id FOREIGN KEY(booking_id) REFERENCES booking (id), 
	CONSTRAINT fk_busy_booking_calendar_id FOREIGN KEY(calendar_id) REFERENCES busy_calendar (id), 
	CONSTRAINT ck_busy_booking_booking_id_kind CHECK (typeof("booking_id") = 'integer'), 
	CONSTRAINT ck_busy_booking_calendar_id_kind CHECK (typeof("calendar_id") = 'integer')
);
INSERT INTO "busy_booking" VALUES(23,1);
CREATE TABLE busy_calendar (
	id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	area_id INTEGER NOT NULL, 
	url VARCHAR NOT NULL, 
	data BLOB, 
	etag VARCHAR NOT NULL, 
	modified VARCHAR NOT NULL, 
	problems JSON NOT NULL, 
	tried_at BIGINT, 
	read_at BIGINT, 
	ended_at BIGINT, 
	CONSTRAINT pk_busy_calendar PRIMARY KEY (id), 
	CONSTRAINT fk_busy_calendar_area_id FOREIGN KEY(area_id) REFERENCES area (id), 
	CONSTRAINT ck_busy_calendar_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_busy_calendar_area_id_kind CHECK (typeof("area_id") = 'integer'), 
	CONSTRAINT ck_busy_calendar_url_kind CHECK (typeof("url") = 'text'), 
	CONSTRAINT ck_busy_calendar_data_kind CHECK ("data" IS NULL OR typeof("data") = 'blob'), 
	CONSTRAINT ck_busy_calendar_etag_kind CHECK (typeof("etag") = 'text'), 
	CONSTRAINT ck_busy_calendar_modified_kind CHECK (typeof("modified") = 'text'), 
	CONSTRAINT ck_busy_calendar_problems_kind CHECK (typeof("problems") = 'text'), 
	CONSTRAINT ck_busy_calendar_tried_at_kind CHECK ("tried_at" IS NULL OR typeof("tried_at") = 'integer'), 
	CONSTRAINT ck_busy_calendar_read_at_kind CHECK ("read_at" IS NULL OR typeof("read_at") = 'integer'), 
	CONSTRAINT ck_busy_calendar_ended_at_kind CHECK ("ended_at" IS NULL OR typeof("ended_at") = 'integer')
);
INSERT INTO "busy_calendar" VALUES(1,'Parish council',10,'',X'424547494E3A5643414C454E4441520D0A424547494E3A564556454E540D0A5549443A3140780D0A445453544152543A3230323631313137543138303030375A0D0A4455524154494F4E3A505431480D0A53554D4D4152593A43686F69720D0A454E443A564556454E540D0A454E443A5643414C454E4441520D0A','','','[]',NULL,1794830407,NULL);
CREATE TABLE changed_booking (
	id INTEGER NOT NULL, 
	change_id INTEGER NOT NULL, 
	booking_id INTEGER NOT NULL, 
	"before" JSON, 
	"after" JSON NOT NULL, 
	area_id INTEGER, 
	CONSTRAINT pk_changed_booking PRIMARY KEY (id), 
	CONSTRAINT fk_changed_booking_area_id FOREIGN KEY(area_id) REFERENCES area (id), 
	CONSTRAINT fk_changed_booking_booking_id FOREIGN KEY(booking_id) REFERENCES booking (id), 
	CONSTRAINT fk_changed_booking_change_id FOREIGN KEY(change_id) REFERENCES booking_change (id), 
	CONSTRAINT ck_changed_booking_change_id_kind CHECK (typeof("change_id") = 'integer'), 
	CONSTRAINT ck_changed_booking_booking_id_kind CHECK (typeof("booking_id") = 'integer'), 
	CONSTRAINT ck_changed_booking_before_kind CHECK ("before" IS NULL OR typeof("before") = 'text'), 
	CONSTRAINT ck_changed_booking_after_kind CHECK (typeof("after") = 'text'), 
	CONSTRAINT ck_changed_booking_area_id_kind CHECK ("area_id" IS NULL OR typeof("area_id") = 'integer')
);
INSERT INTO "changed_booking" VALUES(1,5,1,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1793815200, "ends_at": 1793819700, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(2,6,2,'null','{"pitch_id": 1, "area_id": 5, "starts_at": 1793815200, "ends_at": 1793819700, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(3,7,3,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1793901600, "ends_at": 1793906100, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(4,8,3,'{"pitch_id": 1, "area_id": 4, "starts_at": 1793901600, "ends_at": 1793906100, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": ""}','{"pitch_id": 1, "area_id": 4, "starts_at": 1793901600, "ends_at": 1793906100, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": true, "is_fixed": true, "overruled": "", "why": ["said", ""]}',4);
INSERT INTO "changed_booking" VALUES(5,9,4,'null','{"pitch_id": 1, "area_id": 6, "starts_at": 1795629600, "ends_at": 1795634100, "purpose": "hire", "squad_id": null, "holder": "Hill Runners", "note": "Bring cones", "is_withdrawn": false, "is_fixed": true, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(6,10,5,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1795629600, "ends_at": 1795634100, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(7,11,6,'null','{"pitch_id": 1, "area_id": 5, "starts_at": 1795629600, "ends_at": 1795634100, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(8,12,7,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1794859200, "ends_at": 1794862800, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(9,13,7,'{"pitch_id": 1, "area_id": 4, "starts_at": 1794859200, "ends_at": 1794862800, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": ""}','{"pitch_id": 1, "area_id": 5, "starts_at": 1794860100, "ends_at": 1794863700, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": "The committee wants it.", "why": ["said", ""]}',4);
INSERT INTO "changed_booking" VALUES(10,14,8,'null','{"pitch_id": 3, "area_id": 11, "starts_at": 1795024800, "ends_at": 1795029300, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(11,14,9,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1795114800, "ends_at": 1795118400, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(12,14,10,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1795201200, "ends_at": 1795204800, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(13,14,11,'null','{"pitch_id": 3, "area_id": 11, "starts_at": 1795629600, "ends_at": 1795634100, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(14,14,12,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1795719600, "ends_at": 1795723200, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(15,14,13,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1795806000, "ends_at": 1795809600, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(16,14,14,'null','{"pitch_id": 3, "area_id": 11, "starts_at": 1796234400, "ends_at": 1796238900, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(17,14,15,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1796324400, "ends_at": 1796328000, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(18,14,16,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1796410800, "ends_at": 1796414400, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(19,14,17,'null','{"pitch_id": 3, "area_id": 11, "starts_at": 1797444000, "ends_at": 1797448500, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(20,14,18,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1797534000, "ends_at": 1797537600, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(21,14,19,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1797620400, "ends_at": 1797624000, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(22,24,20,'null','{"pitch_id": 3, "area_id": 10, "starts_at": 1795802400, "ends_at": 1795806000, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "Before the final", "is_withdrawn": false, "is_fixed": true, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(23,26,21,'null','{"pitch_id": 2, "area_id": 7, "starts_at": 1795132800, "ends_at": 1795219200, "purpose": "closed", "squad_id": null, "holder": "waterlogged", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(24,26,22,'null','{"pitch_id": 2, "area_id": 7, "starts_at": 1795219200, "ends_at": 1795305600, "purpose": "closed", "squad_id": null, "holder": "waterlogged", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": ""}',NULL);
INSERT INTO "changed_booking" VALUES(25,33,23,'null','{"pitch_id": 3, "area_id": 10, "starts_at": 1794938407, "ends_at": 1794942007, "purpose": "hire", "squad_id": null, "holder": "Parish council", "note": "Choir", "is_withdrawn": false, "is_fixed": true, "overruled": ""}',NULL);
CREATE TABLE changed_record (
	id INTEGER NOT NULL, 
	change_id INTEGER NOT NULL, 
	sort VARCHAR NOT NULL, 
	number VARCHAR NOT NULL, 
	title VARCHAR NOT NULL, 
	"before" JSON, 
	"after" JSON, 
	CONSTRAINT pk_changed_record PRIMARY KEY (id), 
	CONSTRAINT fk_changed_record_change_id FOREIGN KEY(change_id) REFERENCES booking_change (id), 
	CONSTRAINT ck_changed_record_change_id_kind CHECK (typeof("change_id") = 'integer'), 
	CONSTRAINT ck_changed_record_sort_kind CHECK (typeof("sort") = 'text'), 
	CONSTRAINT ck_changed_record_number_kind CHECK (typeof("number") = 'text'), 
	CONSTRAINT ck_changed_record_title_kind CHECK (typeof("title") = 'text'), 
	CONSTRAINT ck_changed_record_before_kind CHECK ("before" IS NULL OR typeof("before") = 'text'), 
	CONSTRAINT ck_changed_record_after_kind CHECK ("after" IS NULL OR typeof("after") = 'text')
);
INSERT INTO "changed_record" VALUES(1,1,'pitch','1','Top pitch','null','{"name": "Top pitch", "surface": "artificial", "is_lit": true, "is_indoor": false, "polygon": "2cec8f84c6de", "frame": null, "edges": {"start": "Clubhouse end", "far": "Road end", "right": "Brook side", "left": "Car park side"}, "goals": [[0.0, 32.0, 90.0, 7.32, 2.44, "fixed"], [100.0, 32.0, 90.0, 7.32, 2.44, "fixed"]], "portable_goals": 0, "entrance": null, "areas": [{"key": "whole", "name": "Whole of Top pitch", "cut": "whole", "polygon": "2cec8f84c6de"}, {"key": "half-1", "name": "Clubhouse half", "cut": "halves", "polygon": "dbb178f3344d"}, {"key": "half-2", "name": "Road half", "cut": "halves", "polygon": "fe987b9b6787"}, {"key": "third-1", "name": "Clubhouse third", "cut": "thirds", "polygon": "07436eac9646"}, {"key": "third-2", "name": "Middle third", "cut": "thirds", "polygon": "6cf86d2909ec"}, {"key": "third-3", "name": "Road third", "cut": "thirds", "polygon": "9e66f1ba7598"}], "obstacles": [{"polygon": "726275c20cc4"}]}');
INSERT INTO "changed_record" VALUES(2,1,'pitch','2','Low pitch','null','{"name": "Low pitch", "surface": "grass", "is_lit": false, "is_indoor": false, "polygon": "8298213c4fe0", "frame": null, "edges": {"start": "Clubhouse end", "far": "Road end", "right": "Brook side", "left": "Car park side"}, "goals": [[0.0, 20.0, 90.0, 7.32, 2.44, "fixed"], [60.0, 20.0, 90.0, 7.32, 2.44, "fixed"]], "portable_goals": 0, "entrance": null, "areas": [{"key": "whole", "name": "Whole of Low pitch", "cut": "whole", "polygon": "8298213c4fe0"}, {"key": "half-1", "name": "Clubhouse half", "cut": "halves", "polygon": "0de35235ef5f"}, {"key": "half-2", "name": "Road half", "cut": "halves", "polygon": "0103df65962f"}], "obstacles": []}');
INSERT INTO "changed_record" VALUES(3,1,'pitch','3','Hall','null','{"name": "Hall", "surface": "indoor", "is_lit": true, "is_indoor": true, "polygon": "24f7c085fea0", "frame": null, "edges": {"start": "Clubhouse end", "far": "Road end", "right": "Brook side", "left": "Car park side"}, "goals": [], "portable_goals": 0, "entrance": null, "areas": [{"key": "whole", "name": "Whole of Hall", "cut": "whole", "polygon": "24f7c085fea0"}, {"key": "half-1", "name": "Clubhouse half", "cut": "halves", "polygon": "fa73fc5b5efc"}, {"key": "half-2", "name": "Road half", "cut": "halves", "polygon": "91e8ddfe9d6f"}], "obstacles": []}');
INSERT INTO "changed_record" VALUES(4,1,'club','1','Alderby Rovers','null','{"name": "Alderby Rovers", "zone": "Europe/London", "language": "en", "step_minutes": 15, "changeover_minutes": 0, "travel_minutes": 30, "rules": {"ages": [], "limits": [], "prices": [], "wants_compact": false}}');
INSERT INTO "changed_record" VALUES(5,1,'venue','1','Marsh Lane','null','{"name": "Marsh Lane", "address": "Marsh Lane, Alderby", "lon": -1.2, "lat": 52.9, "opening": [[0, 1020, 1320], [1, 1020, 1320], [2, 1020, 1320], [3, 1020, 1320], [4, 1020, 1320], [5, 540, 1080], [6, 540, 1080]], "lights_off_min": 1290, "dusk_margin_minutes": 10, "way_in": "", "parking": "", "contact": "", "phone_for_parents": false}');
INSERT INTO "changed_record" VALUES(6,1,'stretch','1','Winter','null','{"name": "Winter", "starts_on": "2026-11-09", "ends_on": "2026-12-18"}');
INSERT INTO "changed_record" VALUES(7,1,'break','1','Christmas','null','{"name": "Christmas", "starts_on": "2026-12-07", "ends_on": "2026-12-13"}');
INSERT INTO "changed_record" VALUES(8,1,'squad','1','U12 Kestrels','null','{"name": "U12 Kestrels", "age_group": "U12", "players": 14, "goalkeepers": 1, "asks": [{"sessions": 1, "minutes": 75, "possible": [[2, 1080, 1155]], "preferred": [], "least_m2": 0.0, "least_share": 0.3333333333333333, "least_format": "", "surfaces": [], "needs_goal": false, "needs_light": false, "priority": 1, "latest_finish_min": null, "rest_days": 0, "no_day_before": [], "no_day_after": [], "wishes": [], "partners": [], "most_in_a_row": null}]}');
INSERT INTO "changed_record" VALUES(9,1,'squad','2','U14 Harriers','null','{"name": "U14 Harriers", "age_group": "U14", "players": 16, "goalkeepers": 2, "asks": [{"sessions": 2, "minutes": 60, "possible": [[0, 1080, 1200], [1, 1080, 1200], [2, 1080, 1200], [3, 1080, 1200], [4, 1080, 1200]], "preferred": [], "least_m2": 0.0, "least_share": 0.3333333333333333, "least_format": "", "surfaces": [], "needs_goal": false, "needs_light": false, "priority": 1, "latest_finish_min": null, "rest_days": 0, "no_day_before": [], "no_day_after": [], "wishes": [], "partners": [], "most_in_a_row": null}]}');
INSERT INTO "changed_record" VALUES(10,1,'person','1','Robin Hale','null','{"name": "Robin Hale", "may_sign_in": false, "role": "coach", "ended_at": null}');
INSERT INTO "changed_record" VALUES(11,1,'coach of a squad','1','U12 Kestrels, Robin Hale','null','{"squad_id": 1, "person_id": 1, "position": 0, "ended_at": null}');
INSERT INTO "changed_record" VALUES(12,1,'person','2','Sam Reed','null','{"name": "Sam Reed", "may_sign_in": false, "role": "coach", "ended_at": null}');
INSERT INTO "changed_record" VALUES(13,1,'coach of a squad','2','U14 Harriers, Sam Reed','null','{"squad_id": 2, "person_id": 2, "position": 0, "ended_at": null}');
INSERT INTO "changed_record" VALUES(14,1,'size of a game','1','8v8-league','null','{"code": "8v8-league", "figures": {"code": "8v8-league", "sport": "football", "body": "our club", "age_from": 13, "age_to": 14, "players_a_side": 8, "length_m": 60.0, "width_m": 40.0, "run_off_m": null, "goal_width_m": null, "goal_height_m": null, "standing": "read in the source", "source": "the club''s own table", "note": "", "valid_from": null, "valid_until": null}}');
INSERT INTO "changed_record" VALUES(15,2,'person','3','Kim Ashby','null','{"name": "Kim Ashby", "may_sign_in": true, "role": "secretary", "ended_at": null}');
INSERT INTO "changed_record" VALUES(16,3,'person','1','Robin Hale','{"name": "Robin Hale", "may_sign_in": false, "role": "coach", "ended_at": null}','{"name": "Robin Hale", "may_sign_in": true, "role": "coach", "ended_at": null}');
INSERT INTO "changed_record" VALUES(17,4,'person','4','Alex Marsh','null','{"name": "Alex Marsh", "may_sign_in": true, "role": "groundskeeper", "ended_at": null}');
INSERT INTO "changed_record" VALUES(18,15,'holidays of','1','','null','{"country": "GB", "region": "ENG"}');
INSERT INTO "changed_record" VALUES(19,16,'training on a public holiday','2026-12-25','','null','{"day": "2026-12-25"}');
INSERT INTO "changed_record" VALUES(20,17,'limit of use','2','Low pitch','null','{"pitch_id": 2, "hours": 2.0, "matches": 1.0, "source": "Sport England, Natural Turf for Sport, 2011: hours a week; FA appendix to Sport England''s Playing Pitch Strategy guidance, 2013: match equivalents a week (not confirmed)", "quality": "poor"}');
INSERT INTO "changed_record" VALUES(21,18,'cost of floodlights','1','Marsh Lane','null','{"venue_id": 1, "per_hour": 8.5, "currency": "GBP"}');
INSERT INTO "changed_record" VALUES(22,19,'own season','2','U14 Harriers','null','{"squad_id": 2, "starts_on": null, "ends_on": "2026-12-11"}');
INSERT INTO "changed_record" VALUES(23,20,'match','1','U12 Kestrels, Brook End','null','{"squad_id": 1, "day": "2026-11-28", "kick_off_from": 600, "kick_off_to": 720, "opponent": "Brook End", "format_code": "9v9", "minutes": 75, "warm_up_minutes": 30, "after_minutes": 15, "pitch_name": "", "officials": "", "opponents": "", "note": "", "withdrawn_at": null}');
INSERT INTO "changed_record" VALUES(24,21,'notice board','1','','null','{"is_on": true}');
INSERT INTO "changed_record" VALUES(25,22,'offer to change places','1','','null','{"own_id": 5, "other_id": 6, "by": "Kim Ashby", "note": "Exams that evening", "offered_at": "2026-11-16T12:00:07+00:00", "state": "offered"}');
INSERT INTO "changed_record" VALUES(26,23,'session asked for','1','U12 Kestrels','null','{"squad_id": 1, "day": "2026-11-27", "from_min": 1080, "to_min": 1140, "minutes": 60, "least_share": 1.0, "wants_more": false, "by": "Robin Hale", "note": "Before the final", "state": "waiting", "answer": ""}');
INSERT INTO "changed_record" VALUES(27,24,'session asked for','1','U12 Kestrels','{"squad_id": 1, "day": "2026-11-27", "from_min": 1080, "to_min": 1140, "minutes": 60, "least_share": 1.0, "wants_more": false, "by": "Robin Hale", "note": "Before the final", "state": "waiting", "answer": ""}','{"squad_id": 1, "day": "2026-11-27", "from_min": 1080, "to_min": 1140, "minutes": 60, "least_share": 1.0, "wants_more": false, "by": "Robin Hale", "note": "Before the final", "state": "granted", "answer": "U12 Kestrels have Whole of Hall, Fri 27 Nov 18:00\u201319:00, by fair turn."}');
INSERT INTO "changed_record" VALUES(28,25,'turnout','1','U12 Kestrels','null','{"squad_id": 1, "day": "2026-11-25", "players": 9, "goalkeepers": 1, "is_coming": null, "from_min": null, "until_min": null, "minutes": null, "said_by": "Kim", "said_at": "2026-11-16T12:00:07+00:00"}');
INSERT INTO "changed_record" VALUES(29,26,'closure','1','waterlogged','null','{"area_id": 7, "starts_at": "2026-11-20T00:00:00+00:00", "ends_at": "2026-11-22T00:00:00+00:00", "condition": "closed", "words": "", "reason": "waterlogged", "lifted_at": null}');
INSERT INTO "changed_record" VALUES(30,27,'closure','2','soft after rain','null','{"area_id": 7, "starts_at": "2026-11-16T00:00:00+00:00", "ends_at": "2026-11-20T00:00:00+00:00", "condition": "no studs", "words": "", "reason": "soft after rain", "lifted_at": null}');
INSERT INTO "changed_record" VALUES(31,28,'address','1','U12 Kestrels, the squad','null','{"squad_id": 1, "person_id": null, "pitch_id": null, "holder": "the squad", "reminder_minutes": null, "revoked_at": null}');
INSERT INTO "changed_record" VALUES(32,29,'address','2','Robin Hale, Robin Hale','null','{"squad_id": null, "person_id": 1, "pitch_id": null, "holder": "Robin Hale", "reminder_minutes": null, "revoked_at": null}');
INSERT INTO "changed_record" VALUES(33,30,'address','3','Top pitch, Alex Marsh','null','{"squad_id": null, "person_id": null, "pitch_id": 1, "holder": "Alex Marsh", "reminder_minutes": null, "revoked_at": null}');
INSERT INTO "changed_record" VALUES(34,31,'address','4','U14 Harriers, Jo','null','{"squad_id": 2, "person_id": null, "pitch_id": null, "holder": "Jo", "reminder_minutes": null, "revoked_at": null}');
INSERT INTO "changed_record" VALUES(35,32,'calendar of others','1','Parish council','null','{"name": "Parish council", "ended_at": null}');
CREATE TABLE closure (
	id INTEGER NOT NULL, 
	area_id INTEGER NOT NULL, 
	starts_at BIGINT NOT NULL, 
	ends_at BIGINT NOT NULL, 
	condition VARCHAR NOT NULL, 
	words VARCHAR NOT NULL, 
	reason VARCHAR NOT NULL, 
	created_at BIGINT NOT NULL, 
	lifted_at BIGINT, 
	CONSTRAINT pk_closure PRIMARY KEY (id), 
	CONSTRAINT ck_closure_runs_forward CHECK (ends_at > starts_at), 
	CONSTRAINT fk_closure_area_id FOREIGN KEY(area_id) REFERENCES area (id), 
	CONSTRAINT ck_closure_area_id_kind CHECK (typeof("area_id") = 'integer'), 
	CONSTRAINT ck_closure_starts_at_kind CHECK (typeof("starts_at") = 'integer'), 
	CONSTRAINT ck_closure_ends_at_kind CHECK (typeof("ends_at") = 'integer'), 
	CONSTRAINT ck_closure_condition_kind CHECK (typeof("condition") = 'text'), 
	CONSTRAINT ck_closure_words_kind CHECK (typeof("words") = 'text'), 
	CONSTRAINT ck_closure_reason_kind CHECK (typeof("reason") = 'text'), 
	CONSTRAINT ck_closure_created_at_kind CHECK (typeof("created_at") = 'integer'), 
	CONSTRAINT ck_closure_lifted_at_kind CHECK ("lifted_at" IS NULL OR typeof("lifted_at") = 'integer')
);
INSERT INTO "closure" VALUES(1,7,1795132800,1795305600,'closed','','waterlogged',1794830407,NULL);
INSERT INTO "closure" VALUES(2,7,1794787200,1795132800,'no studs','','soft after rain',1794830407,NULL);
CREATE TABLE closure_day (
	id INTEGER NOT NULL, 
	closure_id INTEGER NOT NULL, 
	booking_id INTEGER NOT NULL, 
	CONSTRAINT pk_closure_day PRIMARY KEY (id), 
	CONSTRAINT fk_closure_day_booking_id FOREIGN KEY(booking_id) REFERENCES booking (id), 
	CONSTRAINT fk_closure_day_closure_id FOREIGN KEY(closure_id) REFERENCES closure (id), 
	CONSTRAINT uq_closure_day_booking_id UNIQUE (booking_id), 
	CONSTRAINT ck_closure_day_closure_id_kind CHECK (typeof("closure_id") = 'integer'), 
	CONSTRAINT ck_closure_day_booking_id_kind CHECK (typeof("booking_id") = 'integer')
);
INSERT INTO "closure_day" VALUES(1,1,21);
INSERT INTO "closure_day" VALUES(2,1,22);
CREATE TABLE club (
	id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	zone VARCHAR NOT NULL, 
	language VARCHAR NOT NULL, 
	step_minutes INTEGER NOT NULL, 
	changeover_minutes INTEGER NOT NULL, 
	travel_minutes INTEGER NOT NULL, 
	rules JSON NOT NULL, 
	CONSTRAINT pk_club PRIMARY KEY (id), 
	CONSTRAINT ck_club_one_club CHECK (id = 1), 
	CONSTRAINT ck_club_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_club_zone_kind CHECK (typeof("zone") = 'text'), 
	CONSTRAINT ck_club_language_kind CHECK (typeof("language") = 'text'), 
	CONSTRAINT ck_club_step_minutes_kind CHECK (typeof("step_minutes") = 'integer'), 
	CONSTRAINT ck_club_changeover_minutes_kind CHECK (typeof("changeover_minutes") = 'integer'), 
	CONSTRAINT ck_club_travel_minutes_kind CHECK (typeof("travel_minutes") = 'integer'), 
	CONSTRAINT ck_club_rules_kind CHECK (typeof("rules") = 'text')
);
INSERT INTO "club" VALUES(1,'Alderby Rovers','Europe/London','en',15,0,30,'{"ages": [], "limits": [], "prices": [], "wants_compact": false}');
CREATE TABLE club_secretary (
	person_id INTEGER NOT NULL, 
	club_id INTEGER NOT NULL, 
	CONSTRAINT pk_club_secretary PRIMARY KEY (person_id), 
	CONSTRAINT fk_club_secretary_person_id FOREIGN KEY(person_id) REFERENCES person (id), 
	CONSTRAINT fk_club_secretary_club_id FOREIGN KEY(club_id) REFERENCES club_within (id), 
	CONSTRAINT ck_club_secretary_person_id_kind CHECK (typeof("person_id") = 'integer'), 
	CONSTRAINT ck_club_secretary_club_id_kind CHECK (typeof("club_id") = 'integer')
);
INSERT INTO "club_secretary" VALUES(1,1);
CREATE TABLE club_within (
	id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	position INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	ended_at BIGINT, 
	CONSTRAINT pk_club_within PRIMARY KEY (id), 
	CONSTRAINT uq_club_within_key UNIQUE ("key"), 
	CONSTRAINT ck_club_within_key_kind CHECK (typeof("key") = 'text'), 
	CONSTRAINT ck_club_within_position_kind CHECK (typeof("position") = 'integer'), 
	CONSTRAINT ck_club_within_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_club_within_ended_at_kind CHECK ("ended_at" IS NULL OR typeof("ended_at") = 'integer')
);
INSERT INTO "club_within" VALUES(1,'alderby-rovers',0,'Alderby Rovers',NULL);
CREATE TABLE fixture (
	id INTEGER NOT NULL, 
	squad_id INTEGER NOT NULL, 
	day DATE NOT NULL, 
	kick_off_from INTEGER NOT NULL, 
	kick_off_to INTEGER NOT NULL, 
	opponent VARCHAR NOT NULL, 
	format_code VARCHAR NOT NULL, 
	minutes INTEGER NOT NULL, 
	warm_up_minutes INTEGER NOT NULL, 
	after_minutes INTEGER NOT NULL, 
	pitch_name VARCHAR NOT NULL, 
	officials VARCHAR NOT NULL, 
	opponents VARCHAR NOT NULL, 
	note VARCHAR NOT NULL, 
	booking_id INTEGER, 
	withdrawn_at BIGINT, 
	CONSTRAINT pk_fixture PRIMARY KEY (id), 
	CONSTRAINT fk_fixture_booking_id FOREIGN KEY(booking_id) REFERENCES booking (id), 
	CONSTRAINT fk_fixture_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT uq_fixture_booking_id UNIQUE (booking_id), 
	CONSTRAINT ck_fixture_squad_id_kind CHECK (typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_fixture_day_kind CHECK (typeof("day") = 'text'), 
	CONSTRAINT ck_fixture_kick_off_from_kind CHECK (typeof("kick_off_from") = 'integer'), 
	CONSTRAINT ck_fixture_kick_off_to_kind CHECK (typeof("kick_off_to") = 'integer'), 
	CONSTRAINT ck_fixture_opponent_kind CHECK (typeof("opponent") = 'text'), 
	CONSTRAINT ck_fixture_format_code_kind CHECK (typeof("format_code") = 'text'), 
	CONSTRAINT ck_fixture_minutes_kind CHECK (typeof("minutes") = 'integer'), 
	CONSTRAINT ck_fixture_warm_up_minutes_kind CHECK (typeof("warm_up_minutes") = 'integer'), 
	CONSTRAINT ck_fixture_after_minutes_kind CHECK (typeof("after_minutes") = 'integer'), 
	CONSTRAINT ck_fixture_pitch_name_kind CHECK (typeof("pitch_name") = 'text'), 
	CONSTRAINT ck_fixture_officials_kind CHECK (typeof("officials") = 'text'), 
	CONSTRAINT ck_fixture_opponents_kind CHECK (typeof("opponents") = 'text'), 
	CONSTRAINT ck_fixture_note_kind CHECK (typeof("note") = 'text'), 
	CONSTRAINT ck_fixture_booking_id_kind CHECK ("booking_id" IS NULL OR typeof("booking_id") = 'integer'), 
	CONSTRAINT ck_fixture_withdrawn_at_kind CHECK ("withdrawn_at" IS NULL OR typeof("withdrawn_at") = 'integer')
);
INSERT INTO "fixture" VALUES(1,1,'2026-11-28',600,720,'Brook End','9v9',75,30,15,'','','','',NULL,NULL);
CREATE TABLE followed (
	booking_id INTEGER NOT NULL, 
	address VARCHAR NOT NULL, 
	sequence INTEGER NOT NULL, 
	CONSTRAINT pk_followed PRIMARY KEY (booking_id, address), 
	CONSTRAINT ck_followed_booking_id_kind CHECK (typeof("booking_id") = 'integer'), 
	CONSTRAINT ck_followed_address_kind CHECK (typeof("address") = 'text'), 
	CONSTRAINT ck_followed_sequence_kind CHECK (typeof("sequence") = 'integer'), 
	CONSTRAINT fk_followed_booking_id FOREIGN KEY(booking_id) REFERENCES booking (id)
);
INSERT INTO "followed" VALUES(1,'jo@alderby.example',1);
CREATE TABLE form_secret (
	id INTEGER NOT NULL, 
	value VARCHAR NOT NULL, 
	CONSTRAINT pk_form_secret PRIMARY KEY (id), 
	CONSTRAINT ck_form_secret_one_secret CHECK (id = 1), 
	CONSTRAINT ck_form_secret_value_kind CHECK (typeof("value") = 'text')
);
INSERT INTO "form_secret" VALUES(1,'rSy4vRgUee8Idg-DT9zQ56tJfHbrzDZS');
CREATE TABLE hint (
	id INTEGER NOT NULL, 
	message_id VARCHAR NOT NULL, 
	about VARCHAR NOT NULL, 
	address VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	subject VARCHAR NOT NULL, 
	text VARCHAR NOT NULL, 
	path VARCHAR NOT NULL, 
	made_at BIGINT NOT NULL, 
	ends_at BIGINT NOT NULL, 
	next_try_at BIGINT NOT NULL, 
	attempts INTEGER NOT NULL, 
	state VARCHAR(16) NOT NULL, 
	ended_at BIGINT, 
	words VARCHAR NOT NULL, 
	CONSTRAINT pk_hint PRIMARY KEY (id), 
	CONSTRAINT ck_hint_message_id_kind CHECK (typeof("message_id") = 'text'), 
	CONSTRAINT ck_hint_about_kind CHECK (typeof("about") = 'text'), 
	CONSTRAINT ck_hint_address_kind CHECK (typeof("address") = 'text'), 
	CONSTRAINT ck_hint_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_hint_subject_kind CHECK (typeof("subject") = 'text'), 
	CONSTRAINT ck_hint_text_kind CHECK (typeof("text") = 'text'), 
	CONSTRAINT ck_hint_path_kind CHECK (typeof("path") = 'text'), 
	CONSTRAINT ck_hint_made_at_kind CHECK (typeof("made_at") = 'integer'), 
	CONSTRAINT ck_hint_ends_at_kind CHECK (typeof("ends_at") = 'integer'), 
	CONSTRAINT ck_hint_next_try_at_kind CHECK (typeof("next_try_at") = 'integer'), 
	CONSTRAINT ck_hint_attempts_kind CHECK (typeof("attempts") = 'integer'), 
	CONSTRAINT ck_hint_state_kind CHECK (typeof("state") = 'text'), 
	CONSTRAINT ck_hint_ended_at_kind CHECK ("ended_at" IS NULL OR typeof("ended_at") = 'integer'), 
	CONSTRAINT ck_hint_words_kind CHECK (typeof("words") = 'text'), 
	CONSTRAINT uq_hint_message_id UNIQUE (message_id), 
	CONSTRAINT ck_hint_hint_state CHECK (state IN ('waiting', 'sent', 'unsent', 'lapsed', 'refused'))
);
INSERT INTO "hint" VALUES(1,'1c31d00a7b544fcbafdc2a15ee5e6ab9','sign-in Alex Marsh','kim@alderby.example','Kim Ashby','Alex Marsh wants to be let in','Alex Marsh has asked to be let in; their browser shows 3814. The request waits for 30 minutes here:','/desk/people',1794830407,1794832207,1794830527,1,'sent',1794830407,'');
CREATE TABLE hire (
	id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	contact VARCHAR NOT NULL, 
	phone VARCHAR NOT NULL, 
	note VARCHAR NOT NULL, 
	area_id INTEGER NOT NULL, 
	start_min INTEGER NOT NULL, 
	end_min INTEGER NOT NULL, 
	every_weeks INTEGER NOT NULL, 
	skips_breaks BOOLEAN NOT NULL, 
	created_at BIGINT NOT NULL, 
	withdrawn_at BIGINT, 
	CONSTRAINT pk_hire PRIMARY KEY (id), 
	CONSTRAINT ck_hire_runs_forward CHECK (end_min > start_min), 
	CONSTRAINT ck_hire_weeks CHECK (every_weeks IN (1, 2)), 
	CONSTRAINT fk_hire_area_id FOREIGN KEY(area_id) REFERENCES area (id), 
	CONSTRAINT ck_hire_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_hire_contact_kind CHECK (typeof("contact") = 'text'), 
	CONSTRAINT ck_hire_phone_kind CHECK (typeof("phone") = 'text'), 
	CONSTRAINT ck_hire_note_kind CHECK (typeof("note") = 'text'), 
	CONSTRAINT ck_hire_area_id_kind CHECK (typeof("area_id") = 'integer'), 
	CONSTRAINT ck_hire_start_min_kind CHECK (typeof("start_min") = 'integer'), 
	CONSTRAINT ck_hire_end_min_kind CHECK (typeof("end_min") = 'integer'), 
	CONSTRAINT ck_hire_every_weeks_kind CHECK (typeof("every_weeks") = 'integer'), 
	CONSTRAINT ck_hire_skips_breaks_kind CHECK ("skips_breaks" IN (0, 1)), 
	CONSTRAINT ck_hire_created_at_kind CHECK (typeof("created_at") = 'integer'), 
	CONSTRAINT ck_hire_withdrawn_at_kind CHECK ("withdrawn_at" IS NULL OR typeof("withdrawn_at") = 'integer')
);
INSERT INTO "hire" VALUES(1,'Hill Runners','Sam Reed','+44 1632 960123','Bring cones',6,1080,1155,1,1,1785574800,NULL);
CREATE TABLE hire_date (
	id INTEGER NOT NULL, 
	hire_id INTEGER NOT NULL, 
	day DATE NOT NULL, 
	booking_id INTEGER, 
	is_ended BOOLEAN NOT NULL, 
	CONSTRAINT pk_hire_date PRIMARY KEY (id), 
	CONSTRAINT fk_hire_date_hire_id FOREIGN KEY(hire_id) REFERENCES hire (id), 
	CONSTRAINT fk_hire_date_booking_id FOREIGN KEY(booking_id) REFERENCES booking (id), 
	CONSTRAINT ck_hire_date_hire_id_kind CHECK (typeof("hire_id") = 'integer'), 
	CONSTRAINT ck_hire_date_day_kind CHECK (typeof("day") = 'text'), 
	CONSTRAINT ck_hire_date_booking_id_kind CHECK ("booking_id" IS NULL OR typeof("booking_id") = 'integer'), 
	CONSTRAINT ck_hire_date_is_ended_kind CHECK ("is_ended" IN (0, 1))
);
INSERT INTO "hire_date" VALUES(1,1,'2026-11-25',4,0);
INSERT INTO "hire_date" VALUES(2,1,'2026-12-02',NULL,0);
CREATE TABLE holiday_place (
	id INTEGER NOT NULL, 
	country VARCHAR NOT NULL, 
	region VARCHAR NOT NULL, 
	CONSTRAINT pk_holiday_place PRIMARY KEY (id), 
	CONSTRAINT ck_holiday_place_one_place CHECK (id = 1), 
	CONSTRAINT ck_holiday_place_country_kind CHECK (typeof("country") = 'text'), 
	CONSTRAINT ck_holiday_place_region_kind CHECK (typeof("region") = 'text')
);
INSERT INTO "holiday_place" VALUES(1,'GB','ENG');
CREATE TABLE keeping (
	id INTEGER NOT NULL, 
	ask VARCHAR NOT NULL, 
	days JSON NOT NULL, 
	CONSTRAINT pk_keeping PRIMARY KEY (id), 
	CONSTRAINT ck_keeping_one_choice CHECK (id = 1), 
	CONSTRAINT ck_keeping_ask_kind CHECK (typeof("ask") = 'text'), 
	CONSTRAINT ck_keeping_days_kind CHECK (typeof("days") = 'text')
);
INSERT INTO "keeping" VALUES(1,'Kim Ashby','{"mails": 90}');
CREATE TABLE lamp_cost (
	venue_id INTEGER NOT NULL, 
	per_hour DOUBLE NOT NULL, 
	currency VARCHAR NOT NULL, 
	CONSTRAINT pk_lamp_cost PRIMARY KEY (venue_id), 
	CONSTRAINT fk_lamp_cost_venue_id FOREIGN KEY(venue_id) REFERENCES venue (id), 
	CONSTRAINT ck_lamp_cost_venue_id_kind CHECK (typeof("venue_id") = 'integer'), 
	CONSTRAINT ck_lamp_cost_per_hour_kind CHECK (typeof("per_hour") = 'real'), 
	CONSTRAINT ck_lamp_cost_currency_kind CHECK (typeof("currency") = 'text')
);
INSERT INTO "lamp_cost" VALUES(1,8.5,'GBP');
CREATE TABLE link (
            id INTEGER NOT NULL,
            squad_id INTEGER,
            person_id INTEGER,
            pitch_id INTEGER,
            secret_hash VARCHAR NOT NULL,
            holder VARCHAR NOT NULL,
            email VARCHAR NOT NULL,
            reminder_minutes INTEGER,
            mail_id INTEGER,
            created_at BIGINT NOT NULL,
            revoked_at BIGINT,
            CONSTRAINT pk_link PRIMARY KEY (id),
            CONSTRAINT ck_link_one_subject CHECK ((CASE WHEN squad_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN person_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN pitch_id IS NULL THEN 0 ELSE 1 END) = 1),
            CONSTRAINT fk_link_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id),
            CONSTRAINT fk_link_person_id FOREIGN KEY(person_id) REFERENCES person (id),
            CONSTRAINT fk_link_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id),
            CONSTRAINT uq_link_secret_hash UNIQUE (secret_hash),
            CONSTRAINT fk_link_mail_id FOREIGN KEY(mail_id) REFERENCES mail (id),
            CONSTRAINT ck_link_squad_id_kind CHECK ("squad_id" IS NULL OR typeof("squad_id") = 'integer'),
            CONSTRAINT ck_link_person_id_kind CHECK ("person_id" IS NULL OR typeof("person_id") = 'integer'),
            CONSTRAINT ck_link_pitch_id_kind CHECK ("pitch_id" IS NULL OR typeof("pitch_id") = 'integer'),
            CONSTRAINT ck_link_secret_hash_kind CHECK (typeof("secret_hash") = 'text'),
            CONSTRAINT ck_link_holder_kind CHECK (typeof("holder") = 'text'),
            CONSTRAINT ck_link_email_kind CHECK (typeof("email") = 'text'),
            CONSTRAINT ck_link_reminder_minutes_kind CHECK ("reminder_minutes" IS NULL OR typeof("reminder_minutes") = 'integer'),
            CONSTRAINT ck_link_mail_id_kind CHECK ("mail_id" IS NULL OR typeof("mail_id") = 'integer'),
            CONSTRAINT ck_link_created_at_kind CHECK (typeof("created_at") = 'integer'),
            CONSTRAINT ck_link_revoked_at_kind CHECK ("revoked_at" IS NULL OR typeof("revoked_at") = 'integer')
        );
INSERT INTO "link" VALUES(1,1,NULL,NULL,'26a0b9eedab9c270dc6cc9d688faa0b9ca7108d3dee4ddf80517ea9115264694','the squad','',NULL,NULL,1794830407,NULL);
INSERT INTO "link" VALUES(2,NULL,1,NULL,'d3a0008277bd44fe0ce76f10f5761ed2f03dfd308a670adcbb474b370b05f7cf','Robin Hale','',NULL,NULL,1794830407,NULL);
INSERT INTO "link" VALUES(3,NULL,NULL,1,'415673ce0c510873444fe87b933898491d862d830a2a4102b77c32f5e65c4c3c','Alex Marsh','',NULL,NULL,1794830407,NULL);
INSERT INTO "link" VALUES(4,2,NULL,NULL,'b2d2462824884af9a33bc0b3a5d748e90db7e9e623bfb741447d126ac63da98c','Jo','jo@alderby.example',NULL,NULL,1794830407,NULL);
INSERT INTO "link" VALUES(5,2,NULL,NULL,'6d85b6e6902e4580d6e7f2cc1ae5101c14863191278ff784cfb32295e8d8c817','Jo','',NULL,1,1794830407,NULL);
CREATE TABLE look (
	id INTEGER NOT NULL, 
	person_id INTEGER, 
	link_id INTEGER, 
	page_at BIGINT, 
	page_stand INTEGER NOT NULL, 
	feed_at BIGINT, 
	feed_stand INTEGER NOT NULL, 
	CONSTRAINT pk_look PRIMARY KEY (id), 
	CONSTRAINT ck_look_one_looker CHECK ((CASE WHEN person_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN link_id IS NULL THEN 0 ELSE 1 END) = 1), 
	CONSTRAINT ck_look_person_id_kind CHECK ("person_id" IS NULL OR typeof("person_id") = 'integer'), 
	CONSTRAINT ck_look_link_id_kind CHECK ("link_id" IS NULL OR typeof("link_id") = 'integer'), 
	CONSTRAINT ck_look_page_at_kind CHECK ("page_at" IS NULL OR typeof("page_at") = 'integer'), 
	CONSTRAINT ck_look_page_stand_kind CHECK (typeof("page_stand") = 'integer'), 
	CONSTRAINT ck_look_feed_at_kind CHECK ("feed_at" IS NULL OR typeof("feed_at") = 'integer'), 
	CONSTRAINT ck_look_feed_stand_kind CHECK (typeof("feed_stand") = 'integer'), 
	CONSTRAINT fk_look_person_id FOREIGN KEY(person_id) REFERENCES person (id), 
	CONSTRAINT fk_look_link_id FOREIGN KEY(link_id) REFERENCES link (id), 
	CONSTRAINT uq_look_person_id UNIQUE (person_id), 
	CONSTRAINT uq_look_link_id UNIQUE (link_id)
);
INSERT INTO "look" VALUES(1,NULL,1,1794830407,18,NULL,0);
CREATE TABLE mail (
	id INTEGER NOT NULL, 
	message_id VARCHAR NOT NULL, 
	squad_id INTEGER NOT NULL, 
	address VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	changes JSON NOT NULL, 
	made_at BIGINT NOT NULL, 
	next_try_at BIGINT NOT NULL, 
	attempts INTEGER NOT NULL, 
	state VARCHAR(16) NOT NULL, 
	ended_at BIGINT, 
	words VARCHAR NOT NULL, 
	CONSTRAINT pk_mail PRIMARY KEY (id), 
	CONSTRAINT fk_mail_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT uq_mail_message_id UNIQUE (message_id), 
	CONSTRAINT ck_mail_mail_state CHECK (state IN ('waiting', 'sent', 'unsent', 'lapsed', 'refused')), 
	CONSTRAINT ck_mail_message_id_kind CHECK (typeof("message_id") = 'text'), 
	CONSTRAINT ck_mail_squad_id_kind CHECK (typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_mail_address_kind CHECK (typeof("address") = 'text'), 
	CONSTRAINT ck_mail_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_mail_changes_kind CHECK (typeof("changes") = 'text'), 
	CONSTRAINT ck_mail_made_at_kind CHECK (typeof("made_at") = 'integer'), 
	CONSTRAINT ck_mail_next_try_at_kind CHECK (typeof("next_try_at") = 'integer'), 
	CONSTRAINT ck_mail_attempts_kind CHECK (typeof("attempts") = 'integer'), 
	CONSTRAINT ck_mail_state_kind CHECK (typeof("state") = 'text'), 
	CONSTRAINT ck_mail_ended_at_kind CHECK ("ended_at" IS NULL OR typeof("ended_at") = 'integer'), 
	CONSTRAINT ck_mail_words_kind CHECK (typeof("words") = 'text')
);
INSERT INTO "mail" VALUES(1,'ad8399b8af8e4b6d8619963894cc6d22',2,'jo@alderby.example','Jo','[{"number": 7, "before": null, "after": {"pitch_id": 1, "area_id": 5, "starts_at": 1794860100, "ends_at": 1794863700, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": "The committee wants it."}, "sequence": 1, "changed_at": 1794830407, "squad_id": 2, "is_left": false}]',1794830407,1794830527,1,'sent',1794830407,'');
CREATE TABLE mail_anew (
	mail_id INTEGER NOT NULL, 
	at BIGINT NOT NULL, 
	CONSTRAINT pk_mail_anew PRIMARY KEY (mail_id), 
	CONSTRAINT ck_mail_anew_mail_id_kind CHECK (typeof("mail_id") = 'integer'), 
	CONSTRAINT ck_mail_anew_at_kind CHECK (typeof("at") = 'integer'), 
	CONSTRAINT fk_mail_anew_mail_id FOREIGN KEY(mail_id) REFERENCES mail (id)
);
INSERT INTO "mail_anew" VALUES(1,1794830407);
CREATE TABLE mail_off (
	address VARCHAR NOT NULL, 
	since BIGINT NOT NULL, 
	CONSTRAINT pk_mail_off PRIMARY KEY (address), 
	CONSTRAINT ck_mail_off_address_kind CHECK (typeof("address") = 'text'), 
	CONSTRAINT ck_mail_off_since_kind CHECK (typeof("since") = 'integer')
);
INSERT INTO "mail_off" VALUES('jo@alderby.example',1794830407);
CREATE TABLE mail_pause (
	id INTEGER NOT NULL, 
	since BIGINT NOT NULL, 
	tries INTEGER NOT NULL, 
	next_try_at BIGINT NOT NULL, 
	words VARCHAR NOT NULL, 
	CONSTRAINT pk_mail_pause PRIMARY KEY (id), 
	CONSTRAINT ck_mail_pause_one_pause CHECK (id = 1), 
	CONSTRAINT ck_mail_pause_since_kind CHECK (typeof("since") = 'integer'), 
	CONSTRAINT ck_mail_pause_tries_kind CHECK (typeof("tries") = 'integer'), 
	CONSTRAINT ck_mail_pause_next_try_at_kind CHECK (typeof("next_try_at") = 'integer'), 
	CONSTRAINT ck_mail_pause_words_kind CHECK (typeof("words") = 'text')
);
INSERT INTO "mail_pause" VALUES(1,1794830407,1,1794830527,'The mail server asks for a password.');
CREATE TABLE mailed (
	booking_id INTEGER NOT NULL, 
	address VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	sequence INTEGER NOT NULL, 
	state JSON NOT NULL, 
	ends_at BIGINT NOT NULL, 
	mailed_at BIGINT NOT NULL, 
	CONSTRAINT pk_mailed PRIMARY KEY (booking_id, address), 
	CONSTRAINT ck_mailed_booking_id_kind CHECK (typeof("booking_id") = 'integer'), 
	CONSTRAINT ck_mailed_address_kind CHECK (typeof("address") = 'text'), 
	CONSTRAINT ck_mailed_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_mailed_sequence_kind CHECK (typeof("sequence") = 'integer'), 
	CONSTRAINT ck_mailed_state_kind CHECK (typeof("state") = 'text'), 
	CONSTRAINT ck_mailed_ends_at_kind CHECK (typeof("ends_at") = 'integer'), 
	CONSTRAINT ck_mailed_mailed_at_kind CHECK (typeof("mailed_at") = 'integer'), 
	CONSTRAINT fk_mailed_booking_id FOREIGN KEY(booking_id) REFERENCES booking (id)
);
INSERT INTO "mailed" VALUES(7,'jo@alderby.example','Jo',1,'{"pitch_id": 1, "area_id": 5, "starts_at": 1794860100, "ends_at": 1794863700, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": "The committee wants it."}',1794863700,1794830407);
CREATE TABLE next_season_answer (
	id INTEGER NOT NULL, 
	item VARCHAR NOT NULL, 
	given JSON NOT NULL, 
	"by" VARCHAR NOT NULL, 
	CONSTRAINT pk_next_season_answer PRIMARY KEY (id), 
	CONSTRAINT uq_next_season_answer_item UNIQUE (item), 
	CONSTRAINT ck_next_season_answer_item_kind CHECK (typeof("item") = 'text'), 
	CONSTRAINT ck_next_season_answer_given_kind CHECK (typeof("given") = 'text'), 
	CONSTRAINT ck_next_season_answer_by_kind CHECK (typeof("by") = 'text')
);
INSERT INTO "next_season_answer" VALUES(1,'squad-1','{"name": "U13 Kestrels East"}','Kim Ashby');
CREATE TABLE notice (
	id INTEGER NOT NULL, 
	entry_id INTEGER NOT NULL, 
	squad_id INTEGER NOT NULL, 
	sequence INTEGER NOT NULL, 
	changed_at BIGINT NOT NULL, 
	is_wanted BOOLEAN NOT NULL, 
	told_at BIGINT, 
	CONSTRAINT pk_notice PRIMARY KEY (id), 
	CONSTRAINT fk_notice_entry_id FOREIGN KEY(entry_id) REFERENCES changed_booking (id), 
	CONSTRAINT fk_notice_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT ck_notice_entry_id_kind CHECK (typeof("entry_id") = 'integer'), 
	CONSTRAINT ck_notice_squad_id_kind CHECK (typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_notice_sequence_kind CHECK (typeof("sequence") = 'integer'), 
	CONSTRAINT ck_notice_changed_at_kind CHECK (typeof("changed_at") = 'integer'), 
	CONSTRAINT ck_notice_is_wanted_kind CHECK ("is_wanted" IN (0, 1)), 
	CONSTRAINT ck_notice_told_at_kind CHECK ("told_at" IS NULL OR typeof("told_at") = 'integer')
);
INSERT INTO "notice" VALUES(1,1,1,0,1793016007,0,NULL);
INSERT INTO "notice" VALUES(2,2,2,0,1793016007,0,NULL);
INSERT INTO "notice" VALUES(3,3,1,0,1793016007,0,NULL);
INSERT INTO "notice" VALUES(4,4,1,1,1793016007,0,NULL);
INSERT INTO "notice" VALUES(5,6,1,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(6,7,2,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(7,8,2,0,1794830407,1,1794830407);
INSERT INTO "notice" VALUES(8,9,2,1,1794830407,1,1794830407);
INSERT INTO "notice" VALUES(9,10,1,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(10,11,2,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(11,12,2,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(12,13,1,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(13,14,2,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(14,15,2,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(15,16,1,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(16,17,2,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(17,18,2,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(18,19,1,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(19,20,2,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(20,21,2,0,1794830407,0,NULL);
INSERT INTO "notice" VALUES(21,22,1,0,1794830407,0,NULL);
CREATE TABLE notice_board (
	id INTEGER NOT NULL, 
	is_on BOOLEAN NOT NULL, 
	changed_at BIGINT NOT NULL, 
	CONSTRAINT pk_notice_board PRIMARY KEY (id), 
	CONSTRAINT ck_notice_board_one_board CHECK (id = 1), 
	CONSTRAINT ck_notice_board_is_on_kind CHECK ("is_on" IN (0, 1)), 
	CONSTRAINT ck_notice_board_changed_at_kind CHECK (typeof("changed_at") = 'integer')
);
INSERT INTO "notice_board" VALUES(1,1,1794830407);
CREATE TABLE obstacle (
	id INTEGER NOT NULL, 
	pitch_id INTEGER NOT NULL, 
	polygon BLOB NOT NULL, 
	CONSTRAINT pk_obstacle PRIMARY KEY (id), 
	CONSTRAINT fk_obstacle_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id), 
	CONSTRAINT ck_obstacle_pitch_id_kind CHECK (typeof("pitch_id") = 'integer'), 
	CONSTRAINT ck_obstacle_polygon_kind CHECK (typeof("polygon") = 'blob')
);
INSERT INTO "obstacle" VALUES(1,1,X'010300000001000000050000000000000000000000000000000000000000000000000008400000000000000000000000000000084000000000000008400000000000000000000000000000084000000000000000000000000000000000');
CREATE TABLE own_format (
	id INTEGER NOT NULL, 
	code VARCHAR NOT NULL, 
	position INTEGER NOT NULL, 
	figures JSON NOT NULL, 
	CONSTRAINT pk_own_format PRIMARY KEY (id), 
	CONSTRAINT uq_own_format_code UNIQUE (code), 
	CONSTRAINT ck_own_format_code_kind CHECK (typeof("code") = 'text'), 
	CONSTRAINT ck_own_format_position_kind CHECK (typeof("position") = 'integer'), 
	CONSTRAINT ck_own_format_figures_kind CHECK (typeof("figures") = 'text')
);
INSERT INTO "own_format" VALUES(1,'8v8-league',0,'{"code": "8v8-league", "sport": "football", "body": "our club", "age_from": 13, "age_to": 14, "players_a_side": 8, "length_m": 60.0, "width_m": 40.0, "run_off_m": null, "goal_width_m": null, "goal_height_m": null, "standing": "read in the source", "source": "the club''s own table", "note": "", "valid_from": null, "valid_until": null}');
CREATE TABLE person (
            id INTEGER NOT NULL,
            name VARCHAR NOT NULL,
            email VARCHAR NOT NULL,
            phone VARCHAR NOT NULL,
            may_sign_in BOOLEAN NOT NULL,
            role VARCHAR(16) NOT NULL,
            password_hash VARCHAR,
            version INTEGER NOT NULL,
            created_at BIGINT NOT NULL,
            ended_at BIGINT,
            CONSTRAINT pk_person PRIMARY KEY (id),
            CONSTRAINT ck_person_role CHECK (role IN ('secretary', 'groundskeeper', 'coach')),
            CONSTRAINT ck_person_name_kind CHECK (typeof("name") = 'text'),
            CONSTRAINT ck_person_email_kind CHECK (typeof("email") = 'text'),
            CONSTRAINT ck_person_phone_kind CHECK (typeof("phone") = 'text'),
            CONSTRAINT ck_person_may_sign_in_kind CHECK ("may_sign_in" IN (0, 1)),
            CONSTRAINT ck_person_role_kind CHECK (typeof("role") = 'text'),
            CONSTRAINT ck_person_password_hash_kind CHECK ("password_hash" IS NULL OR typeof("password_hash") = 'text'),
            CONSTRAINT ck_person_version_kind CHECK (typeof("version") = 'integer'),
            CONSTRAINT ck_person_created_at_kind CHECK (typeof("created_at") = 'integer'),
            CONSTRAINT ck_person_ended_at_kind CHECK ("ended_at" IS NULL OR typeof("ended_at") = 'integer')
        );
INSERT INTO "person" VALUES(1,'Robin Hale','','',1,'coach',NULL,1,1793016007,NULL);
INSERT INTO "person" VALUES(2,'Sam Reed','','',0,'coach',NULL,0,1793016007,NULL);
INSERT INTO "person" VALUES(3,'Kim Ashby','kim@alderby.example','',1,'secretary','$argon2id$v=19$m=65536,t=3,p=4$Ni2OnsoEVLzx8PtyhUZ9dA$D7Vphof/yDPYLkMVO0Y7T7JDk0SBoUmNbVBFAPVpJIY',0,1794830407,NULL);
INSERT INTO "person" VALUES(4,'Alex Marsh','','',1,'groundskeeper',NULL,0,1794830407,NULL);
CREATE TABLE pitch (
	id INTEGER NOT NULL, 
	venue_id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	position INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	surface VARCHAR NOT NULL, 
	is_lit BOOLEAN NOT NULL, 
	is_indoor BOOLEAN NOT NULL, 
	polygon BLOB NOT NULL, 
	frame JSON, 
	edges JSON NOT NULL, 
	goals JSON NOT NULL, 
	portable_goals INTEGER NOT NULL, 
	entrance JSON, 
	CONSTRAINT pk_pitch PRIMARY KEY (id), 
	CONSTRAINT fk_pitch_venue_id FOREIGN KEY(venue_id) REFERENCES venue (id), 
	CONSTRAINT uq_pitch_key UNIQUE ("key"), 
	CONSTRAINT ck_pitch_venue_id_kind CHECK (typeof("venue_id") = 'integer'), 
	CONSTRAINT ck_pitch_key_kind CHECK (typeof("key") = 'text'), 
	CONSTRAINT ck_pitch_position_kind CHECK (typeof("position") = 'integer'), 
	CONSTRAINT ck_pitch_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_pitch_surface_kind CHECK (typeof("surface") = 'text'), 
	CONSTRAINT ck_pitch_is_lit_kind CHECK ("is_lit" IN (0, 1)), 
	CONSTRAINT ck_pitch_is_indoor_kind CHECK ("is_indoor" IN (0, 1)), 
	CONSTRAINT ck_pitch_polygon_kind CHECK (typeof("polygon") = 'blob'), 
	CONSTRAINT ck_pitch_frame_kind CHECK ("frame" IS NULL OR typeof("frame") = 'text'), 
	CONSTRAINT ck_pitch_edges_kind CHECK (typeof("edges") = 'text'), 
	CONSTRAINT ck_pitch_goals_kind CHECK (typeof("goals") = 'text'), 
	CONSTRAINT ck_pitch_portable_goals_kind CHECK (typeof("portable_goals") = 'integer'), 
	CONSTRAINT ck_pitch_entrance_kind CHECK ("entrance" IS NULL OR typeof("entrance") = 'text')
);
INSERT INTO "pitch" VALUES(1,1,'marsh-lane-top-pitch',0,'Top pitch','artificial',1,0,X'010300000001000000050000000000000000005940000000000000000000000000000059400000000000005040000000000000000000000000000050400000000000000000000000000000000000000000000059400000000000000000','null','{"start": "Clubhouse end", "far": "Road end", "right": "Brook side", "left": "Car park side"}','[[0.0, 32.0, 90.0, 7.32, 2.44, "fixed"], [100.0, 32.0, 90.0, 7.32, 2.44, "fixed"]]',0,'null');
INSERT INTO "pitch" VALUES(2,1,'marsh-lane-low-pitch',1,'Low pitch','grass',0,0,X'010300000001000000050000000000000000004E4000000000000000000000000000004E40000000000000444000000000000000000000000000004440000000000000000000000000000000000000000000004E400000000000000000','null','{"start": "Clubhouse end", "far": "Road end", "right": "Brook side", "left": "Car park side"}','[[0.0, 20.0, 90.0, 7.32, 2.44, "fixed"], [60.0, 20.0, 90.0, 7.32, 2.44, "fixed"]]',0,'null');
INSERT INTO "pitch" VALUES(3,1,'marsh-lane-hall',2,'Hall','indoor',1,1,X'010300000001000000050000000000000000003E4000000000000000000000000000003E40000000000000344000000000000000000000000000003440000000000000000000000000000000000000000000003E400000000000000000','null','{"start": "Clubhouse end", "far": "Road end", "right": "Brook side", "left": "Car park side"}','[]',0,'null');
CREATE TABLE push (
	id INTEGER NOT NULL, 
	reader_id INTEGER NOT NULL, 
	squad_id INTEGER NOT NULL, 
	changes JSON NOT NULL, 
	tag VARCHAR NOT NULL, 
	made_at BIGINT NOT NULL, 
	next_try_at BIGINT NOT NULL, 
	attempts INTEGER NOT NULL, 
	state VARCHAR(16) NOT NULL, 
	ended_at BIGINT, 
	words VARCHAR NOT NULL, 
	CONSTRAINT pk_push PRIMARY KEY (id), 
	CONSTRAINT ck_push_ended_at_kind CHECK ("ended_at" IS NULL OR typeof("ended_at") = 'integer'), 
	CONSTRAINT ck_push_attempts_kind CHECK (typeof("attempts") = 'integer'), 
	CONSTRAINT ck_push_changes_kind CHECK (typeof("changes") = 'text'), 
	CONSTRAINT ck_push_made_at_kind CHECK (typeof("made_at") = 'integer'), 
	CONSTRAINT ck_push_next_try_at_kind CHECK (typeof("next_try_at") = 'integer'), 
	CONSTRAINT ck_push_reader_id_kind CHECK (typeof("reader_id") = 'integer'), 
	CONSTRAINT ck_push_squad_id_kind CHECK (typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_push_state_kind CHECK (typeof("state") = 'text'), 
	CONSTRAINT ck_push_tag_kind CHECK (typeof("tag") = 'text'), 
	CONSTRAINT ck_push_words_kind CHECK (typeof("words") = 'text'), 
	CONSTRAINT fk_push_reader_id FOREIGN KEY(reader_id) REFERENCES push_reader (id) ON DELETE CASCADE, 
	CONSTRAINT fk_push_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT ck_push_push_state CHECK (state IN ('waiting', 'sent', 'lapsed', 'refused'))
);
INSERT INTO "push" VALUES(1,1,2,'[{"number": 7, "before": null, "after": {"pitch_id": 1, "area_id": 5, "starts_at": 1794860100, "ends_at": 1794863700, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": true, "overruled": "The committee wants it."}, "sequence": 1, "changed_at": 1794830407, "squad_id": null, "is_left": false}]','booking-7',1794830407,1794830527,1,'sent',1794830407,'');
CREATE TABLE push_key (
	id INTEGER NOT NULL, 
	private_key VARCHAR NOT NULL, 
	public_key VARCHAR NOT NULL, 
	made_at BIGINT NOT NULL, 
	CONSTRAINT pk_push_key PRIMARY KEY (id), 
	CONSTRAINT ck_push_key_one_key CHECK (id = 1), 
	CONSTRAINT ck_push_key_made_at_kind CHECK (typeof("made_at") = 'integer'), 
	CONSTRAINT ck_push_key_private_key_kind CHECK (typeof("private_key") = 'text'), 
	CONSTRAINT ck_push_key_public_key_kind CHECK (typeof("public_key") = 'text')
);
INSERT INTO "push_key" VALUES(1,'9Zy5qE5lBwVFjMiCMIuabwv9dlBmum4k7gV5gjtDLog','BLCjMfVrTHk73mSVCoe1EpVDRoSIJzI9z7jToT0dztjXnMNDob9rFM0pPzG0a7kR2KKp7unjM3yDxAH7OovQLQM',1794830407);
CREATE TABLE push_reader (
	id INTEGER NOT NULL, 
	link_id INTEGER, 
	browser_id INTEGER, 
	endpoint VARCHAR NOT NULL, 
	public_key VARCHAR NOT NULL, 
	auth VARCHAR NOT NULL, 
	language VARCHAR NOT NULL, 
	created_at BIGINT NOT NULL, 
	answer INTEGER, 
	answered_at BIGINT, 
	CONSTRAINT pk_push_reader PRIMARY KEY (id), 
	CONSTRAINT ck_push_reader_answer_kind CHECK ("answer" IS NULL OR typeof("answer") = 'integer'), 
	CONSTRAINT ck_push_reader_answered_at_kind CHECK ("answered_at" IS NULL OR typeof("answered_at") = 'integer'), 
	CONSTRAINT ck_push_reader_browser_id_kind CHECK ("browser_id" IS NULL OR typeof("browser_id") = 'integer'), 
	CONSTRAINT ck_push_reader_link_id_kind CHECK ("link_id" IS NULL OR typeof("link_id") = 'integer'), 
	CONSTRAINT ck_push_reader_one_reader CHECK ((CASE WHEN link_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN browser_id IS NULL THEN 0 ELSE 1 END) = 1), 
	CONSTRAINT ck_push_reader_auth_kind CHECK (typeof("auth") = 'text'), 
	CONSTRAINT ck_push_reader_created_at_kind CHECK (typeof("created_at") = 'integer'), 
	CONSTRAINT ck_push_reader_endpoint_kind CHECK (typeof("endpoint") = 'text'), 
	CONSTRAINT ck_push_reader_language_kind CHECK (typeof("language") = 'text'), 
	CONSTRAINT ck_push_reader_public_key_kind CHECK (typeof("public_key") = 'text'), 
	CONSTRAINT fk_push_reader_browser_id FOREIGN KEY(browser_id) REFERENCES browser (id) ON DELETE CASCADE, 
	CONSTRAINT fk_push_reader_link_id FOREIGN KEY(link_id) REFERENCES link (id) ON DELETE CASCADE, 
	CONSTRAINT uq_push_reader_browser_id_endpoint UNIQUE (browser_id, endpoint), 
	CONSTRAINT uq_push_reader_link_id_endpoint UNIQUE (link_id, endpoint)
);
INSERT INTO "push_reader" VALUES(1,4,NULL,'https://push.example/jo','BGsX0fLhLEJH-Lzm5WOkQPJ3A32BLeszoPShOUXYmMKWT-NC4v4af5uO5-tKfA-eFivOM1drMV7Oy7ZAaDe_UfU','AAAAAAAAAAAAAAAAAAAAAA','en',1793016007,201,1794830407);
CREATE TABLE pushed_notice (
	notice_id INTEGER NOT NULL, 
	noted_at BIGINT NOT NULL, 
	CONSTRAINT pk_pushed_notice PRIMARY KEY (notice_id), 
	CONSTRAINT ck_pushed_notice_noted_at_kind CHECK (typeof("noted_at") = 'integer'), 
	CONSTRAINT ck_pushed_notice_notice_id_kind CHECK (typeof("notice_id") = 'integer'), 
	CONSTRAINT fk_pushed_notice_notice_id FOREIGN KEY(notice_id) REFERENCES notice (id) ON DELETE CASCADE
);
INSERT INTO "pushed_notice" VALUES(7,1794830407);
INSERT INTO "pushed_notice" VALUES(8,1794830407);
CREATE TABLE restored (
	id INTEGER NOT NULL, 
	at BIGINT NOT NULL, 
	taken_at BIGINT, 
	change_id INTEGER, 
	found JSON NOT NULL, 
	seen_at BIGINT, 
	CONSTRAINT pk_restored PRIMARY KEY (id), 
	CONSTRAINT fk_restored_change_id FOREIGN KEY(change_id) REFERENCES booking_change (id) ON DELETE SET NULL, 
	CONSTRAINT ck_restored_at_kind CHECK (typeof("at") = 'integer'), 
	CONSTRAINT ck_restored_taken_at_kind CHECK ("taken_at" IS NULL OR typeof("taken_at") = 'integer'), 
	CONSTRAINT ck_restored_change_id_kind CHECK ("change_id" IS NULL OR typeof("change_id") = 'integer'), 
	CONSTRAINT ck_restored_found_kind CHECK (typeof("found") = 'text'), 
	CONSTRAINT ck_restored_seen_at_kind CHECK ("seen_at" IS NULL OR typeof("seen_at") = 'integer')
);
INSERT INTO "restored" VALUES(1,1793016007,1793016007,NULL,'{}',1794830407);
CREATE TABLE season (
	id INTEGER NOT NULL, 
	starts_on DATE NOT NULL, 
	made_at BIGINT NOT NULL, 
	kept JSON NOT NULL, 
	CONSTRAINT pk_season PRIMARY KEY (id), 
	CONSTRAINT uq_season_starts_on UNIQUE (starts_on), 
	CONSTRAINT ck_season_starts_on_kind CHECK (typeof("starts_on") = 'text'), 
	CONSTRAINT ck_season_made_at_kind CHECK (typeof("made_at") = 'integer'), 
	CONSTRAINT ck_season_kept_kind CHECK (typeof("kept") = 'text')
);
INSERT INTO "season" VALUES(1,'2026-08-01',1785574800,'{}');
CREATE TABLE sent_form (
	id INTEGER NOT NULL, 
	token_hash VARCHAR NOT NULL, 
	sent_at BIGINT NOT NULL, 
	answer VARCHAR, 
	CONSTRAINT pk_sent_form PRIMARY KEY (id), 
	CONSTRAINT uq_sent_form_token_hash UNIQUE (token_hash), 
	CONSTRAINT ck_sent_form_token_hash_kind CHECK (typeof("token_hash") = 'text'), 
	CONSTRAINT ck_sent_form_sent_at_kind CHECK (typeof("sent_at") = 'integer'), 
	CONSTRAINT ck_sent_form_answer_kind CHECK ("answer" IS NULL OR typeof("answer") = 'text')
);
INSERT INTO "sent_form" VALUES(1,'def3cc54c614b26fd1d04242244504901430a2153148fd4b246114cf342e61b7',1794830407,'/desk/season/year');
CREATE TABLE served (
	id INTEGER NOT NULL, 
	address VARCHAR NOT NULL, 
	served_at BIGINT NOT NULL, 
	CONSTRAINT pk_served PRIMARY KEY (id), 
	CONSTRAINT ck_served_one_place CHECK (id = 1), 
	CONSTRAINT ck_served_address_kind CHECK (typeof("address") = 'text'), 
	CONSTRAINT ck_served_served_at_kind CHECK (typeof("served_at") = 'integer')
);
INSERT INTO "served" VALUES(1,'https://pitches.example.org',1794830407);
CREATE TABLE session_link (
	id INTEGER NOT NULL, 
	booking_id INTEGER NOT NULL, 
	secret_hash VARCHAR NOT NULL, 
	holder VARCHAR NOT NULL, 
	made_by VARCHAR NOT NULL, 
	may_count BOOLEAN NOT NULL, 
	created_at BIGINT NOT NULL, 
	revoked_at BIGINT, 
	CONSTRAINT pk_session_link PRIMARY KEY (id), 
	CONSTRAINT fk_session_link_booking_id FOREIGN KEY(booking_id) REFERENCES booking (id), 
	CONSTRAINT uq_session_link_secret_hash UNIQUE (secret_hash), 
	CONSTRAINT ck_session_link_booking_id_kind CHECK (typeof("booking_id") = 'integer'), 
	CONSTRAINT ck_session_link_secret_hash_kind CHECK (typeof("secret_hash") = 'text'), 
	CONSTRAINT ck_session_link_holder_kind CHECK (typeof("holder") = 'text'), 
	CONSTRAINT ck_session_link_made_by_kind CHECK (typeof("made_by") = 'text'), 
	CONSTRAINT ck_session_link_may_count_kind CHECK ("may_count" IN (0, 1)), 
	CONSTRAINT ck_session_link_created_at_kind CHECK (typeof("created_at") = 'integer'), 
	CONSTRAINT ck_session_link_revoked_at_kind CHECK ("revoked_at" IS NULL OR typeof("revoked_at") = 'integer')
);
INSERT INTO "session_link" VALUES(1,8,'8ab25ad1f0bf39079ed11de1a453e039a97842422c5a486287c92fc15b916e31','Jo','Robin Hale',1,1794830407,NULL);
CREATE TABLE share_out (
	id INTEGER NOT NULL, 
	stretch_id INTEGER, 
	sort VARCHAR NOT NULL, 
	created_at BIGINT NOT NULL, 
	kind VARCHAR NOT NULL, 
	outcome JSON NOT NULL, 
	published_at BIGINT, 
	CONSTRAINT pk_share_out PRIMARY KEY (id), 
	CONSTRAINT fk_share_out_stretch_id FOREIGN KEY(stretch_id) REFERENCES stretch (id), 
	CONSTRAINT ck_share_out_stretch_id_kind CHECK ("stretch_id" IS NULL OR typeof("stretch_id") = 'integer'), 
	CONSTRAINT ck_share_out_sort_kind CHECK (typeof("sort") = 'text'), 
	CONSTRAINT ck_share_out_created_at_kind CHECK (typeof("created_at") = 'integer'), 
	CONSTRAINT ck_share_out_kind_kind CHECK (typeof("kind") = 'text'), 
	CONSTRAINT ck_share_out_outcome_kind CHECK (typeof("outcome") = 'text'), 
	CONSTRAINT ck_share_out_published_at_kind CHECK ("published_at" IS NULL OR typeof("published_at") = 'integer')
);
INSERT INTO "share_out" VALUES(1,1,'stretch',1794830407,'proved best','{"refusals": [], "satisfactions": [{"squad": "u12-kestrels", "squad_name": "U12 Kestrels", "score": 96, "best_alone": 96, "percent": 100, "past": 0}, {"squad": "u14-harriers", "squad_name": "U14 Harriers", "score": 200, "best_alone": 200, "percent": 100, "past": 0}], "levels": [{"name": "placing sessions", "value": 19, "bound": 19, "is_proved": true, "gap": 0.0}, {"name": "serving the worst-off squad", "value": 100, "bound": 100, "is_proved": true, "gap": 0.0}, {"name": "being fair", "value": 0, "bound": 0, "is_proved": true, "gap": 0.0}, {"name": "granting wishes", "value": 296, "bound": 296, "is_proved": true, "gap": 0.0}], "seconds": 0.02, "problem_digest": "649aa7994d5e264f", "is_repeatable": true, "effort": {"seconds": 3.0, "workers": 1, "seed": 1}, "asked": 3, "kind": "proved best", "sentence": "All 3 sessions asked for have a place. It is proved that no other plan does better, first in placing sessions, then in serving the worst-off squad, then in being fair, then in granting wishes.", "first": "2026-11-09", "last": "2026-12-18", "squads": null, "placements": [{"ask": "1", "session": 0, "squad": "u12-kestrels", "squad_name": "U12 Kestrels", "ground": "marsh-lane-hall/half-1", "ground_name": "Clubhouse half, Hall", "weekday": 2, "start_min": 1080, "end_min": 1155, "dates": ["2026-11-11", "2026-11-18", "2026-11-25", "2026-12-02", "2026-12-16"], "lost_dates": [], "is_pinned": false}, {"ask": "2", "session": 0, "squad": "u14-harriers", "squad_name": "U14 Harriers", "ground": "marsh-lane-top-pitch/third-1", "ground_name": "Clubhouse third, Top pitch", "weekday": 3, "start_min": 1140, "end_min": 1200, "dates": ["2026-11-12", "2026-11-19", "2026-11-26", "2026-12-03", "2026-12-17"], "lost_dates": [], "is_pinned": false}, {"ask": "2", "session": 1, "squad": "u14-harriers", "squad_name": "U14 Harriers", "ground": "marsh-lane-top-pitch/third-1", "ground_name": "Clubhouse third, Top pitch", "weekday": 4, "start_min": 1140, "end_min": 1200, "dates": ["2026-11-13", "2026-11-20", "2026-11-27", "2026-12-04", "2026-12-18"], "lost_dates": [], "is_pinned": false}], "closures": [], "published": {"added": 12, "moved": 0, "kept": 0, "withdrawn": 0, "closed": 0, "lines": [{"squad_name": "U12 Kestrels", "change": "added", "old": "", "new": "Wednesday 18:00\u201319:15, Clubhouse half, Hall", "dates": "4 dates from 18 Nov 2026 to 16 Dec 2026", "count": 4}, {"squad_name": "U14 Harriers", "change": "added", "old": "", "new": "Thursday 19:00\u201320:00, Clubhouse third, Top pitch", "dates": "4 dates from 19 Nov 2026 to 17 Dec 2026", "count": 4}, {"squad_name": "U14 Harriers", "change": "added", "old": "", "new": "Friday 19:00\u201320:00, Clubhouse third, Top pitch", "dates": "4 dates from 20 Nov 2026 to 18 Dec 2026", "count": 4}]}}',1794830407);
CREATE TABLE share_run (
	id INTEGER NOT NULL, 
	request JSON NOT NULL, 
	title VARCHAR NOT NULL, 
	state VARCHAR NOT NULL, 
	asked_at BIGINT NOT NULL, 
	begun_at BIGINT, 
	seen_at BIGINT NOT NULL, 
	ended_at BIGINT, 
	is_stop_asked BOOLEAN NOT NULL, 
	progress JSON NOT NULL, 
	share_out_id INTEGER, 
	fault VARCHAR NOT NULL, 
	CONSTRAINT pk_share_run PRIMARY KEY (id), 
	CONSTRAINT fk_share_run_share_out_id FOREIGN KEY(share_out_id) REFERENCES share_out (id), 
	CONSTRAINT ck_share_run_request_kind CHECK (typeof("request") = 'text'), 
	CONSTRAINT ck_share_run_title_kind CHECK (typeof("title") = 'text'), 
	CONSTRAINT ck_share_run_state_kind CHECK (typeof("state") = 'text'), 
	CONSTRAINT ck_share_run_asked_at_kind CHECK (typeof("asked_at") = 'integer'), 
	CONSTRAINT ck_share_run_begun_at_kind CHECK ("begun_at" IS NULL OR typeof("begun_at") = 'integer'), 
	CONSTRAINT ck_share_run_seen_at_kind CHECK (typeof("seen_at") = 'integer'), 
	CONSTRAINT ck_share_run_ended_at_kind CHECK ("ended_at" IS NULL OR typeof("ended_at") = 'integer'), 
	CONSTRAINT ck_share_run_is_stop_asked_kind CHECK ("is_stop_asked" IN (0, 1)), 
	CONSTRAINT ck_share_run_progress_kind CHECK (typeof("progress") = 'text'), 
	CONSTRAINT ck_share_run_share_out_id_kind CHECK ("share_out_id" IS NULL OR typeof("share_out_id") = 'integer'), 
	CONSTRAINT ck_share_run_fault_kind CHECK (typeof("fault") = 'text')
);
INSERT INTO "share_run" VALUES(1,'{"work": "stretch", "effort": {"seconds": 30, "workers": 1, "seed": 1}, "stretch": "winter", "pins": [], "scope": null, "still": [], "same_start": false, "change": {"closures": [], "dropped": [], "extra": [], "fills": false}}','Sharing out Winter','queued',1794830407,NULL,1794830407,NULL,0,'{}',NULL,'');
CREATE TABLE sign_in (
	id INTEGER NOT NULL, 
	person_id INTEGER, 
	secret_hash VARCHAR, 
	browser_hash VARCHAR, 
	code VARCHAR NOT NULL, 
	about VARCHAR NOT NULL, 
	created_at BIGINT NOT NULL, 
	ends_at BIGINT NOT NULL, 
	CONSTRAINT pk_sign_in PRIMARY KEY (id), 
	CONSTRAINT fk_sign_in_person_id FOREIGN KEY(person_id) REFERENCES person (id), 
	CONSTRAINT uq_sign_in_secret_hash UNIQUE (secret_hash), 
	CONSTRAINT ck_sign_in_person_id_kind CHECK ("person_id" IS NULL OR typeof("person_id") = 'integer'), 
	CONSTRAINT ck_sign_in_secret_hash_kind CHECK ("secret_hash" IS NULL OR typeof("secret_hash") = 'text'), 
	CONSTRAINT ck_sign_in_browser_hash_kind CHECK ("browser_hash" IS NULL OR typeof("browser_hash") = 'text'), 
	CONSTRAINT ck_sign_in_code_kind CHECK (typeof("code") = 'text'), 
	CONSTRAINT ck_sign_in_about_kind CHECK (typeof("about") = 'text'), 
	CONSTRAINT ck_sign_in_created_at_kind CHECK (typeof("created_at") = 'integer'), 
	CONSTRAINT ck_sign_in_ends_at_kind CHECK (typeof("ends_at") = 'integer')
);
INSERT INTO "sign_in" VALUES(1,4,NULL,'b75cdd0d485daf613b6fbe2501333ac3b37b0df72ce11192733dbfe4d1e723fc','3814','Chrome on Android',1794830407,1794832207);
CREATE TABLE sign_in_try (
	id INTEGER NOT NULL, 
	counted_under VARCHAR NOT NULL, 
	tried_at BIGINT NOT NULL, 
	CONSTRAINT pk_sign_in_try PRIMARY KEY (id), 
	CONSTRAINT ck_sign_in_try_counted_under_kind CHECK (typeof("counted_under") = 'text'), 
	CONSTRAINT ck_sign_in_try_tried_at_kind CHECK (typeof("tried_at") = 'integer')
);
INSERT INTO "sign_in_try" VALUES(1,'84c2075b9f58287824100ed6ffd18026569c90d84f6f233a7ba05267ee14c5c7',1794830407);
INSERT INTO "sign_in_try" VALUES(2,'04e6f4e14344a561902a866376a899346060b0ab7b1167e665c58a6f13cfd21e',1794830407);
INSERT INTO "sign_in_try" VALUES(3,'2755e99b6736e750c5e4b4a74e10c52d8364d1ea826ad6193d6bab7fc19195e3',1794830407);
INSERT INTO "sign_in_try" VALUES(4,'9ff61838787e703e41d7aaecb09fe0f246ef61aee9d82bb56a959bc7ce71d91d',1794830407);
INSERT INTO "sign_in_try" VALUES(5,'e3e3c64a222a35d4e863dd6711b2313419930bcf9b253ae3b435b3cc8aeb89ae',1794830407);
INSERT INTO "sign_in_try" VALUES(6,'2755e99b6736e750c5e4b4a74e10c52d8364d1ea826ad6193d6bab7fc19195e3',1794830407);
INSERT INTO "sign_in_try" VALUES(7,'152d51172e8736c74092622a6b3a39b18a134598c8838b85b771f07453121023',1794830407);
CREATE TABLE squad (
            id INTEGER NOT NULL,
            "key" VARCHAR NOT NULL,
            position INTEGER NOT NULL,
            name VARCHAR NOT NULL,
            age_group VARCHAR NOT NULL,
            players INTEGER NOT NULL,
            goalkeepers INTEGER NOT NULL,
            CONSTRAINT pk_squad PRIMARY KEY (id),
            CONSTRAINT uq_squad_key UNIQUE ("key"),
            CONSTRAINT ck_squad_key_kind CHECK (typeof("key") = 'text'),
            CONSTRAINT ck_squad_position_kind CHECK (typeof("position") = 'integer'),
            CONSTRAINT ck_squad_name_kind CHECK (typeof("name") = 'text'),
            CONSTRAINT ck_squad_age_group_kind CHECK (typeof("age_group") = 'text'),
            CONSTRAINT ck_squad_players_kind CHECK (typeof("players") = 'integer'),
            CONSTRAINT ck_squad_goalkeepers_kind CHECK (typeof("goalkeepers") = 'integer')
        );
INSERT INTO "squad" VALUES(1,'u12-kestrels',0,'U12 Kestrels','U12',14,1);
INSERT INTO "squad" VALUES(2,'u14-harriers',1,'U14 Harriers','U14',16,2);
CREATE TABLE squad_club (
	squad_id INTEGER NOT NULL, 
	club_id INTEGER NOT NULL, 
	CONSTRAINT pk_squad_club PRIMARY KEY (squad_id), 
	CONSTRAINT fk_squad_club_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT fk_squad_club_club_id FOREIGN KEY(club_id) REFERENCES club_within (id), 
	CONSTRAINT ck_squad_club_squad_id_kind CHECK (typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_squad_club_club_id_kind CHECK (typeof("club_id") = 'integer')
);
INSERT INTO "squad_club" VALUES(2,1);
CREATE TABLE squad_coach (
            id INTEGER NOT NULL,
            squad_id INTEGER NOT NULL,
            person_id INTEGER NOT NULL,
            position INTEGER NOT NULL,
            began_at BIGINT,
            ended_at BIGINT,
            CONSTRAINT pk_squad_coach PRIMARY KEY (id),
            CONSTRAINT fk_squad_coach_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id),
            CONSTRAINT fk_squad_coach_person_id FOREIGN KEY(person_id) REFERENCES person (id),
            CONSTRAINT ck_squad_coach_squad_id_kind CHECK (typeof("squad_id") = 'integer'),
            CONSTRAINT ck_squad_coach_person_id_kind CHECK (typeof("person_id") = 'integer'),
            CONSTRAINT ck_squad_coach_position_kind CHECK (typeof("position") = 'integer'),
            CONSTRAINT ck_squad_coach_began_at_kind CHECK ("began_at" IS NULL OR typeof("began_at") = 'integer'),
            CONSTRAINT ck_squad_coach_ended_at_kind CHECK ("ended_at" IS NULL OR typeof("ended_at") = 'integer')
        );
INSERT INTO "squad_coach" VALUES(1,1,1,0,1793016007,NULL);
INSERT INTO "squad_coach" VALUES(2,2,2,0,1793016007,NULL);
CREATE TABLE squad_end (
	squad_id INTEGER NOT NULL, 
	from_day DATE NOT NULL, 
	why VARCHAR NOT NULL, 
	goes_on_in_id INTEGER, 
	CONSTRAINT pk_squad_end PRIMARY KEY (squad_id), 
	CONSTRAINT ck_squad_end_goes_elsewhere CHECK (goes_on_in_id <> squad_id), 
	CONSTRAINT fk_squad_end_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT fk_squad_end_goes_on_in_id FOREIGN KEY(goes_on_in_id) REFERENCES squad (id), 
	CONSTRAINT ck_squad_end_squad_id_kind CHECK (typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_squad_end_from_day_kind CHECK (typeof("from_day") = 'text'), 
	CONSTRAINT ck_squad_end_why_kind CHECK (typeof("why") = 'text'), 
	CONSTRAINT ck_squad_end_goes_on_in_id_kind CHECK ("goes_on_in_id" IS NULL OR typeof("goes_on_in_id") = 'integer')
);
INSERT INTO "squad_end" VALUES(2,'2026-12-12','Too few players',1);
CREATE TABLE squad_name (
	id INTEGER NOT NULL, 
	squad_id INTEGER NOT NULL, 
	season_id INTEGER NOT NULL, 
	until BIGINT NOT NULL, 
	name VARCHAR NOT NULL, 
	CONSTRAINT pk_squad_name PRIMARY KEY (id), 
	CONSTRAINT fk_squad_name_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT fk_squad_name_season_id FOREIGN KEY(season_id) REFERENCES season (id), 
	CONSTRAINT ck_squad_name_squad_id_kind CHECK (typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_squad_name_season_id_kind CHECK (typeof("season_id") = 'integer'), 
	CONSTRAINT ck_squad_name_until_kind CHECK (typeof("until") = 'integer'), 
	CONSTRAINT ck_squad_name_name_kind CHECK (typeof("name") = 'text')
);
INSERT INTO "squad_name" VALUES(1,1,1,1785574800,'U11 Kestrels');
CREATE TABLE squad_season (
	squad_id INTEGER NOT NULL, 
	starts_on DATE, 
	ends_on DATE, 
	CONSTRAINT pk_squad_season PRIMARY KEY (squad_id), 
	CONSTRAINT fk_squad_season_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT ck_squad_season_squad_id_kind CHECK (typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_squad_season_starts_on_kind CHECK ("starts_on" IS NULL OR typeof("starts_on") = 'text'), 
	CONSTRAINT ck_squad_season_ends_on_kind CHECK ("ends_on" IS NULL OR typeof("ends_on") = 'text')
);
INSERT INTO "squad_season" VALUES(2,NULL,'2026-12-11');
CREATE TABLE stand (
	id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	CONSTRAINT pk_stand PRIMARY KEY (id), 
	CONSTRAINT ck_stand_number_kind CHECK (typeof("number") = 'integer')
);
INSERT INTO "stand" VALUES(1,18);
INSERT INTO "stand" VALUES(2,15874918);
CREATE TABLE stretch (
	id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	starts_on DATE NOT NULL, 
	ends_on DATE NOT NULL, 
	CONSTRAINT pk_stretch PRIMARY KEY (id), 
	CONSTRAINT uq_stretch_key UNIQUE ("key"), 
	CONSTRAINT ck_stretch_key_kind CHECK (typeof("key") = 'text'), 
	CONSTRAINT ck_stretch_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_stretch_starts_on_kind CHECK (typeof("starts_on") = 'text'), 
	CONSTRAINT ck_stretch_ends_on_kind CHECK (typeof("ends_on") = 'text')
);
INSERT INTO "stretch" VALUES(1,'winter','Winter','2026-11-09','2026-12-18');
CREATE TABLE swap_offer (
	id INTEGER NOT NULL, 
	own_id INTEGER NOT NULL, 
	other_id INTEGER NOT NULL, 
	own_sequence INTEGER NOT NULL, 
	other_sequence INTEGER NOT NULL, 
	"by" VARCHAR NOT NULL, 
	note VARCHAR NOT NULL, 
	offered_at BIGINT NOT NULL, 
	state VARCHAR NOT NULL, 
	CONSTRAINT pk_swap_offer PRIMARY KEY (id), 
	CONSTRAINT fk_swap_offer_other_id FOREIGN KEY(other_id) REFERENCES booking (id), 
	CONSTRAINT fk_swap_offer_own_id FOREIGN KEY(own_id) REFERENCES booking (id), 
	CONSTRAINT ck_swap_offer_own_id_kind CHECK (typeof("own_id") = 'integer'), 
	CONSTRAINT ck_swap_offer_other_id_kind CHECK (typeof("other_id") = 'integer'), 
	CONSTRAINT ck_swap_offer_own_sequence_kind CHECK (typeof("own_sequence") = 'integer'), 
	CONSTRAINT ck_swap_offer_other_sequence_kind CHECK (typeof("other_sequence") = 'integer'), 
	CONSTRAINT ck_swap_offer_by_kind CHECK (typeof("by") = 'text'), 
	CONSTRAINT ck_swap_offer_note_kind CHECK (typeof("note") = 'text'), 
	CONSTRAINT ck_swap_offer_offered_at_kind CHECK (typeof("offered_at") = 'integer'), 
	CONSTRAINT ck_swap_offer_state_kind CHECK (typeof("state") = 'text')
);
INSERT INTO "swap_offer" VALUES(1,5,6,0,0,'Kim Ashby','Exams that evening',1794830407,'offered');
CREATE TABLE table_heading (
	id INTEGER NOT NULL, 
	kind VARCHAR NOT NULL, 
	heading VARCHAR NOT NULL, 
	means VARCHAR NOT NULL, 
	CONSTRAINT pk_table_heading PRIMARY KEY (id), 
	CONSTRAINT uq_table_heading_kind_heading UNIQUE (kind, heading), 
	CONSTRAINT ck_table_heading_kind_kind CHECK (typeof("kind") = 'text'), 
	CONSTRAINT ck_table_heading_heading_kind CHECK (typeof("heading") = 'text'), 
	CONSTRAINT ck_table_heading_means_kind CHECK (typeof("means") = 'text')
);
INSERT INTO "table_heading" VALUES(1,'squads','mannschaft','squad');
CREATE TABLE training_break (
	id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	starts_on DATE NOT NULL, 
	ends_on DATE NOT NULL, 
	CONSTRAINT pk_training_break PRIMARY KEY (id), 
	CONSTRAINT ck_training_break_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_training_break_starts_on_kind CHECK (typeof("starts_on") = 'text'), 
	CONSTRAINT ck_training_break_ends_on_kind CHECK (typeof("ends_on") = 'text')
);
INSERT INTO "training_break" VALUES(1,'Christmas','2026-12-07','2026-12-13');
CREATE TABLE training_holiday (
	day DATE NOT NULL, 
	CONSTRAINT pk_training_holiday PRIMARY KEY (day), 
	CONSTRAINT ck_training_holiday_day_kind CHECK (typeof("day") = 'text')
);
INSERT INTO "training_holiday" VALUES('2026-12-25');
CREATE TABLE turnout (
	id INTEGER NOT NULL, 
	squad_id INTEGER NOT NULL, 
	day DATE NOT NULL, 
	players INTEGER, 
	goalkeepers INTEGER, 
	is_coming BOOLEAN, 
	from_min INTEGER, 
	until_min INTEGER, 
	minutes INTEGER, 
	said_by VARCHAR NOT NULL, 
	said_at BIGINT NOT NULL, 
	CONSTRAINT pk_turnout PRIMARY KEY (id), 
	CONSTRAINT ck_turnout_keepers_are_players CHECK (goalkeepers BETWEEN 0 AND players), 
	CONSTRAINT ck_turnout_runs_forward CHECK (until_min > from_min), 
	CONSTRAINT fk_turnout_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT uq_turnout_squad_id_day UNIQUE (squad_id, day), 
	CONSTRAINT ck_turnout_squad_id_kind CHECK (typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_turnout_day_kind CHECK (typeof("day") = 'text'), 
	CONSTRAINT ck_turnout_players_kind CHECK ("players" IS NULL OR typeof("players") = 'integer'), 
	CONSTRAINT ck_turnout_goalkeepers_kind CHECK ("goalkeepers" IS NULL OR typeof("goalkeepers") = 'integer'), 
	CONSTRAINT ck_turnout_is_coming_kind CHECK ("is_coming" IS NULL OR "is_coming" IN (0, 1)), 
	CONSTRAINT ck_turnout_from_min_kind CHECK ("from_min" IS NULL OR typeof("from_min") = 'integer'), 
	CONSTRAINT ck_turnout_until_min_kind CHECK ("until_min" IS NULL OR typeof("until_min") = 'integer'), 
	CONSTRAINT ck_turnout_minutes_kind CHECK ("minutes" IS NULL OR typeof("minutes") = 'integer'), 
	CONSTRAINT ck_turnout_said_by_kind CHECK (typeof("said_by") = 'text'), 
	CONSTRAINT ck_turnout_said_at_kind CHECK (typeof("said_at") = 'integer')
);
INSERT INTO "turnout" VALUES(1,1,'2026-11-25',9,1,NULL,NULL,NULL,NULL,'Kim',1794830407);
CREATE TABLE venue (
	id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	position INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	address VARCHAR NOT NULL, 
	lon DOUBLE, 
	lat DOUBLE, 
	opening JSON NOT NULL, 
	lights_off_min INTEGER, 
	dusk_margin_minutes INTEGER NOT NULL, 
	way_in VARCHAR NOT NULL, 
	parking VARCHAR NOT NULL, 
	contact VARCHAR NOT NULL, 
	contact_phone VARCHAR NOT NULL, 
	phone_for_parents BOOLEAN NOT NULL, 
	CONSTRAINT pk_venue PRIMARY KEY (id), CONSTRAINT ck_venue_has_whole_place CHECK ((lon IS NULL) = (lat IS NULL)), 
	CONSTRAINT uq_venue_key UNIQUE ("key"), 
	CONSTRAINT ck_venue_key_kind CHECK (typeof("key") = 'text'), 
	CONSTRAINT ck_venue_position_kind CHECK (typeof("position") = 'integer'), 
	CONSTRAINT ck_venue_name_kind CHECK (typeof("name") = 'text'), 
	CONSTRAINT ck_venue_address_kind CHECK (typeof("address") = 'text'), 
	CONSTRAINT ck_venue_lon_kind CHECK ("lon" IS NULL OR typeof("lon") = 'real'), 
	CONSTRAINT ck_venue_lat_kind CHECK ("lat" IS NULL OR typeof("lat") = 'real'), 
	CONSTRAINT ck_venue_opening_kind CHECK (typeof("opening") = 'text'), 
	CONSTRAINT ck_venue_lights_off_min_kind CHECK ("lights_off_min" IS NULL OR typeof("lights_off_min") = 'integer'), 
	CONSTRAINT ck_venue_dusk_margin_minutes_kind CHECK (typeof("dusk_margin_minutes") = 'integer'), 
	CONSTRAINT ck_venue_way_in_kind CHECK (typeof("way_in") = 'text'), 
	CONSTRAINT ck_venue_parking_kind CHECK (typeof("parking") = 'text'), 
	CONSTRAINT ck_venue_contact_kind CHECK (typeof("contact") = 'text'), 
	CONSTRAINT ck_venue_contact_phone_kind CHECK (typeof("contact_phone") = 'text'), 
	CONSTRAINT ck_venue_phone_for_parents_kind CHECK ("phone_for_parents" IN (0, 1))
);
INSERT INTO "venue" VALUES(1,'marsh-lane',0,'Marsh Lane','Marsh Lane, Alderby',-1.2,52.9,'[[0, 1020, 1320], [1, 1020, 1320], [2, 1020, 1320], [3, 1020, 1320], [4, 1020, 1320], [5, 540, 1080], [6, 540, 1080]]',1290,10,'','','','',0);
CREATE TABLE waiting_ask (
	id INTEGER NOT NULL, 
	squad_id INTEGER NOT NULL, 
	day DATE NOT NULL, 
	from_min INTEGER NOT NULL, 
	to_min INTEGER NOT NULL, 
	minutes INTEGER NOT NULL, 
	least_share DOUBLE NOT NULL, 
	wants_more BOOLEAN NOT NULL, 
	booking_id INTEGER, 
	"by" VARCHAR NOT NULL, 
	note VARCHAR NOT NULL, 
	asked_at BIGINT NOT NULL, 
	state VARCHAR NOT NULL, 
	answer VARCHAR NOT NULL, 
	CONSTRAINT pk_waiting_ask PRIMARY KEY (id), 
	CONSTRAINT fk_waiting_ask_booking_id FOREIGN KEY(booking_id) REFERENCES booking (id), 
	CONSTRAINT fk_waiting_ask_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT ck_waiting_ask_squad_id_kind CHECK (typeof("squad_id") = 'integer'), 
	CONSTRAINT ck_waiting_ask_day_kind CHECK (typeof("day") = 'text'), 
	CONSTRAINT ck_waiting_ask_from_min_kind CHECK (typeof("from_min") = 'integer'), 
	CONSTRAINT ck_waiting_ask_to_min_kind CHECK (typeof("to_min") = 'integer'), 
	CONSTRAINT ck_waiting_ask_minutes_kind CHECK (typeof("minutes") = 'integer'), 
	CONSTRAINT ck_waiting_ask_least_share_kind CHECK (typeof("least_share") = 'real'), 
	CONSTRAINT ck_waiting_ask_wants_more_kind CHECK ("wants_more" IN (0, 1)), 
	CONSTRAINT ck_waiting_ask_booking_id_kind CHECK ("booking_id" IS NULL OR typeof("booking_id") = 'integer'), 
	CONSTRAINT ck_waiting_ask_by_kind CHECK (typeof("by") = 'text'), 
	CONSTRAINT ck_waiting_ask_note_kind CHECK (typeof("note") = 'text'), 
	CONSTRAINT ck_waiting_ask_asked_at_kind CHECK (typeof("asked_at") = 'integer'), 
	CONSTRAINT ck_waiting_ask_state_kind CHECK (typeof("state") = 'text'), 
	CONSTRAINT ck_waiting_ask_answer_kind CHECK (typeof("answer") = 'text')
);
INSERT INTO "waiting_ask" VALUES(1,1,'2026-11-27',1080,1140,60,1.0,0,20,'Robin Hale','Before the final',1794830407,'granted','U12 Kestrels have Whole of Hall, Fri 27 Nov 18:00–19:00, by fair turn.');
CREATE TABLE wear_limit (
	pitch_id INTEGER NOT NULL, 
	hours DOUBLE, 
	matches DOUBLE, 
	source VARCHAR NOT NULL, 
	quality VARCHAR NOT NULL, 
	CONSTRAINT pk_wear_limit PRIMARY KEY (pitch_id), 
	CONSTRAINT fk_wear_limit_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id), 
	CONSTRAINT ck_wear_limit_pitch_id_kind CHECK (typeof("pitch_id") = 'integer'), 
	CONSTRAINT ck_wear_limit_hours_kind CHECK ("hours" IS NULL OR typeof("hours") = 'real'), 
	CONSTRAINT ck_wear_limit_matches_kind CHECK ("matches" IS NULL OR typeof("matches") = 'real'), 
	CONSTRAINT ck_wear_limit_source_kind CHECK (typeof("source") = 'text'), 
	CONSTRAINT ck_wear_limit_quality_kind CHECK (typeof("quality") = 'text')
);
INSERT INTO "wear_limit" VALUES(2,2.0,1.0,'Sport England, Natural Turf for Sport, 2011: hours a week; FA appendix to Sport England''s Playing Pitch Strategy guidance, 2013: match equivalents a week (not confirmed)','poor');
CREATE INDEX ix_sign_in_person_id ON sign_in (person_id);
CREATE INDEX ix_browser_person_id ON browser (person_id);
CREATE INDEX ix_sent_form_sent_at ON sent_form (sent_at);
CREATE INDEX ix_sign_in_try_counted_under ON sign_in_try (counted_under, tried_at);
CREATE INDEX ix_ask_squad_id ON ask (squad_id);
CREATE INDEX ix_pitch_venue_id ON pitch (venue_id);
CREATE INDEX ix_obstacle_pitch_id ON obstacle (pitch_id);
CREATE INDEX ix_booking_area_id ON booking (area_id);
CREATE INDEX ix_booking_pitch_id_starts_at ON booking (pitch_id, starts_at);
CREATE INDEX ix_booking_squad_id_starts_at ON booking (squad_id, starts_at);
CREATE INDEX ix_booking_starts_at ON booking (starts_at);
CREATE INDEX ix_booking_change_at ON booking_change (at);
CREATE INDEX ix_changed_booking_booking_id ON changed_booking (booking_id);
CREATE INDEX ix_changed_booking_change_id ON changed_booking (change_id);
CREATE INDEX ix_changed_record_change_id ON changed_record (change_id);
CREATE INDEX ix_changed_record_sort_number ON changed_record (sort, number);
CREATE INDEX ix_closure_area_id ON closure (area_id);
CREATE INDEX ix_fixture_day ON fixture (day);
CREATE INDEX ix_waiting_ask_day ON waiting_ask (day);
CREATE INDEX ix_closure_day_closure_id ON closure_day (closure_id);
CREATE INDEX ix_mail_squad_id ON mail (squad_id);
CREATE INDEX ix_mail_state_next_try_at ON mail (state, next_try_at);
CREATE INDEX ix_notice_entry_id ON notice (entry_id);
CREATE INDEX ix_notice_told_at_squad_id ON notice (told_at, squad_id);
CREATE INDEX ix_busy_calendar_area_id ON busy_calendar (area_id);
CREATE INDEX ix_busy_booking_calendar_id ON busy_booking (calendar_id);
CREATE INDEX ix_squad_coach_person_id ON squad_coach (person_id);
CREATE INDEX ix_squad_coach_squad_id ON squad_coach (squad_id);
CREATE UNIQUE INDEX uq_squad_coach_now ON squad_coach (squad_id, person_id) WHERE ended_at IS NULL;
CREATE INDEX ix_link_mail_id ON link (mail_id);
CREATE INDEX ix_link_person_id ON link (person_id);
CREATE INDEX ix_link_pitch_id ON link (pitch_id);
CREATE INDEX ix_link_squad_id ON link (squad_id);
CREATE INDEX ix_mailed_ends_at ON mailed (ends_at);
CREATE INDEX ix_hint_state_next_try_at ON hint (state, next_try_at);
CREATE INDEX ix_push_reader_endpoint ON push_reader (endpoint);
CREATE INDEX ix_push_reader_id_tag ON push (reader_id, tag);
CREATE INDEX ix_push_squad_id ON push (squad_id);
CREATE INDEX ix_push_state_next_try_at ON push (state, next_try_at);
CREATE INDEX ix_pushed_notice_noted_at ON pushed_notice (noted_at);
CREATE INDEX ix_notice_changed_at ON notice (changed_at);
CREATE INDEX ix_turnout_day ON turnout (day);
CREATE INDEX ix_share_out_stretch_id ON share_out (stretch_id);
CREATE INDEX ix_session_link_booking_id ON session_link (booking_id);
CREATE INDEX ix_squad_name_squad_id_until ON squad_name (squad_id, until);
CREATE INDEX ix_squad_name_season_id ON squad_name (season_id);
CREATE INDEX ix_hire_area_id ON hire (area_id);
CREATE INDEX ix_hire_date_hire_id ON hire_date (hire_id);
CREATE INDEX ix_hire_date_booking_id ON hire_date (booking_id);
CREATE INDEX ix_changed_booking_area_id ON changed_booking (area_id) WHERE area_id IS NOT NULL;
CREATE INDEX ix_closure_ends_at ON closure (ends_at);
CREATE INDEX ix_share_out_published_at ON share_out (published_at);
CREATE INDEX ix_swap_offer_state ON swap_offer (state);
CREATE INDEX ix_waiting_ask_state_squad_id ON waiting_ask (state, squad_id);
CREATE INDEX ix_squad_club_club_id ON squad_club (club_id);
CREATE INDEX ix_club_secretary_club_id ON club_secretary (club_id);
CREATE INDEX ix_restored_change_id ON restored (change_id);
CREATE TRIGGER booking_guard_insert BEFORE INSERT ON booking FOR EACH ROW 
BEGIN
    SELECT RAISE(ABORT, 'booking_guard: there already') WHERE EXISTS (SELECT 1 FROM booking WHERE id = NEW.id AND 1)
        OR EXISTS (SELECT 1 FROM booking WHERE uid = NEW.uid AND 1);
    SELECT RAISE(ABORT, 'booking_guard: too long') WHERE NEW.ends_at - NEW.starts_at > 90000;
    SELECT RAISE(ABORT, 'booking_guard: not the ground of its area') WHERE NOT EXISTS (
        SELECT 1 FROM area
        WHERE area.id = NEW.area_id AND area.pitch_id = NEW.pitch_id
          AND (area.cells = NEW.cells OR 0)
    );
    SELECT RAISE(ABORT, 'booking_guard: ground is held') WHERE NEW.is_withdrawn = 0 AND EXISTS (
        SELECT 1 FROM booking AS held
        WHERE held.pitch_id = NEW.pitch_id
          AND held.starts_at < NEW.ends_at
          AND held.starts_at > NEW.starts_at - 90000
          AND held.ends_at > NEW.starts_at
          AND held.is_withdrawn = 0
          AND (held.cells & NEW.cells) <> 0
          AND held.id IS NOT NEW.id
    );
END;
CREATE TRIGGER booking_guard_update BEFORE UPDATE ON booking FOR EACH ROW WHEN NEW.id IS NOT OLD.id OR NEW.uid IS NOT OLD.uid OR NEW.area_id IS NOT OLD.area_id OR NEW.pitch_id IS NOT OLD.pitch_id OR NEW.cells IS NOT OLD.cells OR NEW.starts_at IS NOT OLD.starts_at OR NEW.ends_at IS NOT OLD.ends_at OR NEW.is_withdrawn IS NOT OLD.is_withdrawn
BEGIN
    SELECT RAISE(ABORT, 'booking_guard: there already') WHERE EXISTS (SELECT 1 FROM booking WHERE id = NEW.id AND id <> OLD.id)
        OR EXISTS (SELECT 1 FROM booking WHERE uid = NEW.uid AND id <> OLD.id);
    SELECT RAISE(ABORT, 'booking_guard: too long') WHERE NEW.ends_at - NEW.starts_at > 90000;
    SELECT RAISE(ABORT, 'booking_guard: not the ground of its area') WHERE NOT EXISTS (
        SELECT 1 FROM area
        WHERE area.id = NEW.area_id AND area.pitch_id = NEW.pitch_id
          AND (area.cells = NEW.cells OR NEW.cells = OLD.cells AND NEW.area_id = OLD.area_id
              AND (NEW.is_withdrawn = 1 OR NEW.ends_at <= area.redrawn_at))
    );
    SELECT RAISE(ABORT, 'booking_guard: ground is held') WHERE NEW.is_withdrawn = 0 AND EXISTS (
        SELECT 1 FROM booking AS held
        WHERE held.pitch_id = NEW.pitch_id
          AND held.starts_at < NEW.ends_at
          AND held.starts_at > NEW.starts_at - 90000
          AND held.ends_at > NEW.starts_at
          AND held.is_withdrawn = 0
          AND (held.cells & NEW.cells) <> 0
          AND held.id IS NOT OLD.id
    );
END;
CREATE TRIGGER area_guard_insert BEFORE INSERT ON area FOR EACH ROW 
BEGIN
    SELECT RAISE(ABORT, 'booking_guard: there already') WHERE EXISTS (SELECT 1 FROM area WHERE id = NEW.id AND 1)
        OR EXISTS (
            SELECT 1 FROM area WHERE pitch_id = NEW.pitch_id AND "key" = NEW."key" AND 1
        );
END;
CREATE TRIGGER area_guard_update BEFORE UPDATE ON area FOR EACH ROW WHEN NEW.id IS NOT OLD.id OR NEW.pitch_id IS NOT OLD.pitch_id OR NEW."key" IS NOT OLD."key" OR NEW.cells IS NOT OLD.cells OR NEW.redrawn_at IS NOT OLD.redrawn_at
BEGIN
    SELECT RAISE(ABORT, 'booking_guard: there already') WHERE EXISTS (SELECT 1 FROM area WHERE id = NEW.id AND id <> OLD.id)
        OR EXISTS (
            SELECT 1 FROM area WHERE pitch_id = NEW.pitch_id AND "key" = NEW."key" AND id <> OLD.id
        );
    SELECT RAISE(ABORT, 'booking_guard: ground is booked') WHERE EXISTS (
        SELECT 1 FROM booking WHERE area_id = OLD.id AND (
            NEW.id <> OLD.id OR NEW.pitch_id <> OLD.pitch_id
            OR is_withdrawn = 0 AND cells IS NOT NEW.cells
               AND (NEW.redrawn_at IS NULL OR ends_at > NEW.redrawn_at)
        )
    );
END;
CREATE TRIGGER area_guard_delete BEFORE DELETE ON area FOR EACH ROW 
BEGIN
    SELECT RAISE(ABORT, 'booking_guard: ground is booked') WHERE EXISTS (SELECT 1 FROM booking WHERE area_id = OLD.id);
END;
COMMIT;
