-- {"squad": "suxangWPaH8raUkYQm2bR7pzhGUPxMkw", "coach": "", "pitch": "", "browsers": {}, "password": ""}
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
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
	CONSTRAINT pk_area PRIMARY KEY (id), 
	CONSTRAINT ck_area_has_ground CHECK (cells > 0), 
	CONSTRAINT fk_area_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id), 
	CONSTRAINT uq_area_pitch_id_key UNIQUE (pitch_id, "key")
);
INSERT INTO "area" VALUES(1,1,'whole',0,'Whole of Top pitch','whole',X'010300000001000000050000000000000000005940000000000000000000000000000059400000000000005040000000000000000000000000000050400000000000000000000000000000000000000000000059400000000000000000',15,12);
INSERT INTO "area" VALUES(2,1,'half-1',1,'Clubhouse half','halves',X'010300000001000000050000000000000000004940000000000000000000000000000000000000000000000000000000000000000000000000000050400000000000004940000000000000504000000000000049400000000000000000',3,6);
INSERT INTO "area" VALUES(3,1,'half-2',2,'Road half','halves',X'010300000001000000050000000000000000004940000000000000000000000000000049400000000000005040000000000000594000000000000050400000000000005940000000000000000000000000000049400000000000000000',12,6);
INSERT INTO "area" VALUES(4,1,'third-1',3,'Clubhouse third','thirds',X'01030000000100000005000000B4C876BE9FAA404000000000000000000000000000000000000000000000000000000000000000000000000000005040B4C876BE9FAA40400000000000005040B4C876BE9FAA40400000000000000000',1,4);
INSERT INTO "area" VALUES(5,1,'third-2',4,'Middle third','thirds',X'01030000000100000005000000A69BC420B0AA50400000000000000000B4C876BE9FAA40400000000000000000B4C876BE9FAA40400000000000005040A69BC420B0AA50400000000000005040A69BC420B0AA50400000000000000000',6,4);
INSERT INTO "area" VALUES(6,1,'third-3',5,'Road third','thirds',X'01030000000100000005000000A69BC420B0AA50400000000000000000A69BC420B0AA504000000000000050400000000000005940000000000000504000000000000059400000000000000000A69BC420B0AA50400000000000000000',8,4);
INSERT INTO "area" VALUES(7,2,'whole',0,'Whole of Low pitch','whole',X'010300000001000000050000000000000000004E4000000000000000000000000000004E40000000000000444000000000000000000000000000004440000000000000000000000000000000000000000000004E400000000000000000',3,12);
INSERT INTO "area" VALUES(8,2,'half-1',1,'Clubhouse half','halves',X'010300000001000000050000000000000000003E40000000000000000000000000000000000000000000000000000000000000000000000000000044400000000000003E4000000000000044400000000000003E400000000000000000',1,6);
INSERT INTO "area" VALUES(9,2,'half-2',2,'Road half','halves',X'010300000001000000050000000000000000003E4000000000000000000000000000003E4000000000000044400000000000004E4000000000000044400000000000004E4000000000000000000000000000003E400000000000000000',2,6);
INSERT INTO "area" VALUES(10,3,'whole',0,'Whole of Hall','whole',X'010300000001000000050000000000000000003E4000000000000000000000000000003E40000000000000344000000000000000000000000000003440000000000000000000000000000000000000000000003E400000000000000000',3,12);
INSERT INTO "area" VALUES(11,3,'half-1',1,'Clubhouse half','halves',X'010300000001000000050000000000000000002E40000000000000000000000000000000000000000000000000000000000000000000000000000034400000000000002E4000000000000034400000000000002E400000000000000000',1,6);
INSERT INTO "area" VALUES(12,3,'half-2',2,'Road half','halves',X'010300000001000000050000000000000000002E4000000000000000000000000000002E4000000000000034400000000000003E4000000000000034400000000000003E4000000000000000000000000000002E400000000000000000',2,6);
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
	CONSTRAINT pk_ask PRIMARY KEY (id), 
	CONSTRAINT fk_ask_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id)
);
INSERT INTO "ask" VALUES(1,1,1,75,'[[2, 1080, 1155]]','[]',0.0,3.33333333333333314829e-01,'','[]',0,0);
INSERT INTO "ask" VALUES(2,2,2,60,'[[0, 1080, 1200], [1, 1080, 1200], [2, 1080, 1200], [3, 1080, 1200], [4, 1080, 1200]]','[]',0.0,3.33333333333333314829e-01,'','[]',0,0);
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
	CONSTRAINT pk_booking PRIMARY KEY (id), 
	CONSTRAINT ck_booking_has_ground CHECK (cells > 0), 
	CONSTRAINT ck_booking_runs_forward CHECK (ends_at > starts_at), 
	CONSTRAINT fk_booking_area_id FOREIGN KEY(area_id) REFERENCES area (id), 
	CONSTRAINT fk_booking_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id), 
	CONSTRAINT fk_booking_share_out_id FOREIGN KEY(share_out_id) REFERENCES share_out (id), 
	CONSTRAINT fk_booking_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT uq_booking_uid UNIQUE (uid), 
	CONSTRAINT ck_booking_purpose CHECK (purpose IN ('training', 'match', 'hire', 'closed'))
);
INSERT INTO "booking" VALUES(1,'4db76f3b-fd27-4688-8392-424a121e240d@clubplanner',1,4,1,1793815200,1793819700,'training',1,'U12 Kestrels','',0,1,NULL,0,1793016000,1793016000);
INSERT INTO "booking" VALUES(2,'68049862-3e23-4b6f-b0be-30bc28e3976b@clubplanner',1,5,6,1795629600,1795634100,'training',2,'U14 Harriers','',0,1,NULL,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(3,'29e6b66e-8d2d-40fb-95bb-0e57de74005a@clubplanner',1,6,8,1795629600,1795634100,'hire',NULL,'Hill Runners','',0,1,NULL,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(4,'eae5d45e-be2b-4027-b75d-5f803557ca68@clubplanner',1,4,1,1794852000,1794855600,'training',2,'U14 Harriers','',0,0,1,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(5,'9e333261-87b1-46f0-9ee9-cb4e022619c8@clubplanner',1,4,1,1794938400,1794942000,'training',2,'U14 Harriers','',0,0,1,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(6,'87d95453-94fd-484c-b8f1-52cab3c3afbd@clubplanner',1,4,1,1795024800,1795029300,'training',1,'U12 Kestrels','',0,0,1,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(7,'3376ba1e-3374-4625-873c-ad4dd5dfb2e0@clubplanner',1,4,1,1795456800,1795460400,'training',2,'U14 Harriers','',0,0,1,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(8,'1860d883-73c6-4b97-b2f4-ed65e39e53fa@clubplanner',1,4,1,1795543200,1795546800,'training',2,'U14 Harriers','',0,0,1,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(9,'c27636a3-031e-42f6-85e6-7a0df38ca514@clubplanner',1,4,1,1795629600,1795634100,'training',1,'U12 Kestrels','',0,0,1,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(10,'378a52bb-2224-4b57-8dcb-26834c005eda@clubplanner',1,4,1,1796061600,1796065200,'training',2,'U14 Harriers','',0,0,1,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(11,'240458d5-0966-4040-ba98-14293b3bb5d0@clubplanner',1,4,1,1796148000,1796151600,'training',2,'U14 Harriers','',0,0,1,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(12,'b6d5fa12-ec31-40a8-b1bc-3f1689dfca33@clubplanner',1,4,1,1796234400,1796238900,'training',1,'U12 Kestrels','',0,0,1,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(13,'29e20e22-4383-4950-9c58-f1d418243b4f@clubplanner',1,4,1,1797271200,1797274800,'training',2,'U14 Harriers','',0,0,1,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(14,'c57a93ec-14e7-4b4c-a806-63e84816dbd2@clubplanner',1,4,1,1797357600,1797361200,'training',2,'U14 Harriers','',0,0,1,0,1794830400,1794830400);
INSERT INTO "booking" VALUES(15,'b96d2952-b894-492b-9787-ae950b23658f@clubplanner',1,4,1,1797444000,1797448500,'training',1,'U12 Kestrels','',0,0,1,0,1794830400,1794830400);
CREATE TABLE booking_change (
	id INTEGER NOT NULL, 
	at BIGINT NOT NULL, 
	"by" VARCHAR NOT NULL, 
	words VARCHAR NOT NULL, 
	undoes_id INTEGER, 
	CONSTRAINT pk_booking_change PRIMARY KEY (id), 
	CONSTRAINT fk_booking_change_undoes_id FOREIGN KEY(undoes_id) REFERENCES booking_change (id)
);
INSERT INTO "booking_change" VALUES(1,1793016000,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(2,1794830400,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(3,1794830400,'the planner','',NULL);
INSERT INTO "booking_change" VALUES(4,1794830400,'the planner','published share-out 1, Winter',NULL);
CREATE TABLE browser (
	id INTEGER NOT NULL, 
	person_id INTEGER NOT NULL, 
	secret_hash VARCHAR NOT NULL, 
	about VARCHAR NOT NULL, 
	created_at BIGINT NOT NULL, 
	ends_at BIGINT NOT NULL, 
	CONSTRAINT pk_browser PRIMARY KEY (id), 
	CONSTRAINT fk_browser_person_id FOREIGN KEY(person_id) REFERENCES person (id), 
	CONSTRAINT uq_browser_secret_hash UNIQUE (secret_hash)
);
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
	CONSTRAINT fk_changed_booking_change_id FOREIGN KEY(change_id) REFERENCES booking_change (id)
);
INSERT INTO "changed_booking" VALUES(1,1,1,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1793815200, "ends_at": 1793819700, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": true}',NULL);
INSERT INTO "changed_booking" VALUES(2,2,2,'null','{"pitch_id": 1, "area_id": 5, "starts_at": 1795629600, "ends_at": 1795634100, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": true}',NULL);
INSERT INTO "changed_booking" VALUES(3,3,3,'null','{"pitch_id": 1, "area_id": 6, "starts_at": 1795629600, "ends_at": 1795634100, "purpose": "hire", "squad_id": null, "holder": "Hill Runners", "note": "", "is_withdrawn": false, "is_fixed": true}',NULL);
INSERT INTO "changed_booking" VALUES(4,4,4,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1794852000, "ends_at": 1794855600, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
INSERT INTO "changed_booking" VALUES(5,4,5,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1794938400, "ends_at": 1794942000, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
INSERT INTO "changed_booking" VALUES(6,4,6,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1795024800, "ends_at": 1795029300, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
INSERT INTO "changed_booking" VALUES(7,4,7,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1795456800, "ends_at": 1795460400, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
INSERT INTO "changed_booking" VALUES(8,4,8,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1795543200, "ends_at": 1795546800, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
INSERT INTO "changed_booking" VALUES(9,4,9,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1795629600, "ends_at": 1795634100, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
INSERT INTO "changed_booking" VALUES(10,4,10,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1796061600, "ends_at": 1796065200, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
INSERT INTO "changed_booking" VALUES(11,4,11,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1796148000, "ends_at": 1796151600, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
INSERT INTO "changed_booking" VALUES(12,4,12,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1796234400, "ends_at": 1796238900, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
INSERT INTO "changed_booking" VALUES(13,4,13,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1797271200, "ends_at": 1797274800, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
INSERT INTO "changed_booking" VALUES(14,4,14,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1797357600, "ends_at": 1797361200, "purpose": "training", "squad_id": 2, "holder": "U14 Harriers", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
INSERT INTO "changed_booking" VALUES(15,4,15,'null','{"pitch_id": 1, "area_id": 4, "starts_at": 1797444000, "ends_at": 1797448500, "purpose": "training", "squad_id": 1, "holder": "U12 Kestrels", "note": "", "is_withdrawn": false, "is_fixed": false}',NULL);
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
	CONSTRAINT fk_closure_area_id FOREIGN KEY(area_id) REFERENCES area (id)
);
CREATE TABLE closure_day (
	id INTEGER NOT NULL, 
	closure_id INTEGER NOT NULL, 
	booking_id INTEGER NOT NULL, 
	CONSTRAINT pk_closure_day PRIMARY KEY (id), 
	CONSTRAINT fk_closure_day_booking_id FOREIGN KEY(booking_id) REFERENCES booking (id), 
	CONSTRAINT fk_closure_day_closure_id FOREIGN KEY(closure_id) REFERENCES closure (id), 
	CONSTRAINT uq_closure_day_booking_id UNIQUE (booking_id)
);
CREATE TABLE club (
	id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	zone VARCHAR NOT NULL, 
	step_minutes INTEGER NOT NULL, 
	changeover_minutes INTEGER NOT NULL, 
	travel_minutes INTEGER NOT NULL, 
	CONSTRAINT pk_club PRIMARY KEY (id), 
	CONSTRAINT ck_club_one_club CHECK (id = 1)
);
INSERT INTO "club" VALUES(1,'Alderby Rovers','Europe/London',15,0,30);
CREATE TABLE form_secret (
	id INTEGER NOT NULL, 
	value VARCHAR NOT NULL, 
	CONSTRAINT pk_form_secret PRIMARY KEY (id), 
	CONSTRAINT ck_form_secret_one_secret CHECK (id = 1)
);
CREATE TABLE link (
	id INTEGER NOT NULL, 
	squad_id INTEGER, 
	coach VARCHAR, 
	pitch_id INTEGER, 
	secret_hash VARCHAR NOT NULL, 
	holder VARCHAR NOT NULL, 
	email VARCHAR NOT NULL, 
	reminder_minutes INTEGER, 
	mail_id INTEGER, 
	created_at BIGINT NOT NULL, 
	revoked_at BIGINT, 
	CONSTRAINT pk_link PRIMARY KEY (id), 
	CONSTRAINT ck_link_one_subject CHECK ((CASE WHEN squad_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN coach IS NULL THEN 0 ELSE 1 END) + (CASE WHEN pitch_id IS NULL THEN 0 ELSE 1 END) = 1), 
	CONSTRAINT fk_link_mail_id FOREIGN KEY(mail_id) REFERENCES mail (id), 
	CONSTRAINT fk_link_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id), 
	CONSTRAINT fk_link_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT uq_link_secret_hash UNIQUE (secret_hash)
);
INSERT INTO "link" VALUES(1,1,NULL,NULL,'e73f4673e91dd1fb52d7e58fe4b31925e7041a6b5d58d771ee4198eba9a5fd7b','the squad','',NULL,NULL,1794830400,NULL);
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
	CONSTRAINT ck_mail_mail_state CHECK (state IN ('waiting', 'sent', 'unsent', 'lapsed', 'refused'))
);
CREATE TABLE mail_off (
	address VARCHAR NOT NULL, 
	since BIGINT NOT NULL, 
	CONSTRAINT pk_mail_off PRIMARY KEY (address)
);
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
	CONSTRAINT fk_notice_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id)
);
INSERT INTO "notice" VALUES(1,1,1,0,1793016000,0,NULL);
INSERT INTO "notice" VALUES(2,2,2,0,1794830400,0,NULL);
INSERT INTO "notice" VALUES(3,4,2,0,1794830400,1,NULL);
INSERT INTO "notice" VALUES(4,5,2,0,1794830400,0,NULL);
INSERT INTO "notice" VALUES(5,6,1,0,1794830400,0,NULL);
INSERT INTO "notice" VALUES(6,7,2,0,1794830400,0,NULL);
INSERT INTO "notice" VALUES(7,8,2,0,1794830400,0,NULL);
INSERT INTO "notice" VALUES(8,9,1,0,1794830400,0,NULL);
INSERT INTO "notice" VALUES(9,10,2,0,1794830400,0,NULL);
INSERT INTO "notice" VALUES(10,11,2,0,1794830400,0,NULL);
INSERT INTO "notice" VALUES(11,12,1,0,1794830400,0,NULL);
INSERT INTO "notice" VALUES(12,13,2,0,1794830400,0,NULL);
INSERT INTO "notice" VALUES(13,14,2,0,1794830400,0,NULL);
INSERT INTO "notice" VALUES(14,15,1,0,1794830400,0,NULL);
CREATE TABLE obstacle (
	id INTEGER NOT NULL, 
	pitch_id INTEGER NOT NULL, 
	polygon BLOB NOT NULL, 
	CONSTRAINT pk_obstacle PRIMARY KEY (id), 
	CONSTRAINT fk_obstacle_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id)
);
CREATE TABLE own_format (
	id INTEGER NOT NULL, 
	code VARCHAR NOT NULL, 
	position INTEGER NOT NULL, 
	figures JSON NOT NULL, 
	CONSTRAINT pk_own_format PRIMARY KEY (id), 
	CONSTRAINT uq_own_format_code UNIQUE (code)
);
CREATE TABLE person (
	id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	email VARCHAR NOT NULL, 
	role VARCHAR(16) NOT NULL, 
	password_hash VARCHAR, 
	version INTEGER NOT NULL, 
	created_at BIGINT NOT NULL, 
	ended_at BIGINT, 
	CONSTRAINT pk_person PRIMARY KEY (id), 
	CONSTRAINT ck_person_role CHECK (role IN ('secretary', 'groundskeeper', 'coach'))
);
CREATE TABLE person_squad (
	person_id INTEGER NOT NULL, 
	squad_id INTEGER NOT NULL, 
	CONSTRAINT pk_person_squad PRIMARY KEY (person_id, squad_id), 
	CONSTRAINT fk_person_squad_person_id FOREIGN KEY(person_id) REFERENCES person (id), 
	CONSTRAINT fk_person_squad_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id)
);
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
	CONSTRAINT uq_pitch_key UNIQUE ("key")
);
INSERT INTO "pitch" VALUES(1,1,'marsh-lane-top-pitch',0,'Top pitch','artificial',1,0,X'010300000001000000050000000000000000005940000000000000000000000000000059400000000000005040000000000000000000000000000050400000000000000000000000000000000000000000000059400000000000000000','null','{"start": "Clubhouse end", "far": "Road end", "right": "Brook side", "left": "Car park side"}','[[0.0, 32.0, 90.0, 7.32, 2.44, "fixed"], [100.0, 32.0, 90.0, 7.32, 2.44, "fixed"]]',0,'null');
INSERT INTO "pitch" VALUES(2,1,'marsh-lane-low-pitch',1,'Low pitch','grass',0,0,X'010300000001000000050000000000000000004E4000000000000000000000000000004E40000000000000444000000000000000000000000000004440000000000000000000000000000000000000000000004E400000000000000000','null','{"start": "Clubhouse end", "far": "Road end", "right": "Brook side", "left": "Car park side"}','[[0.0, 20.0, 90.0, 7.32, 2.44, "fixed"], [60.0, 20.0, 90.0, 7.32, 2.44, "fixed"]]',0,'null');
INSERT INTO "pitch" VALUES(3,1,'marsh-lane-hall',2,'Hall','indoor',1,1,X'010300000001000000050000000000000000003E4000000000000000000000000000003E40000000000000344000000000000000000000000000003440000000000000000000000000000000000000000000003E400000000000000000','null','{"start": "Clubhouse end", "far": "Road end", "right": "Brook side", "left": "Car park side"}','[]',0,'null');
CREATE TABLE sent_form (
	id INTEGER NOT NULL, 
	token_hash VARCHAR NOT NULL, 
	sent_at BIGINT NOT NULL, 
	answer VARCHAR, 
	CONSTRAINT pk_sent_form PRIMARY KEY (id), 
	CONSTRAINT uq_sent_form_token_hash UNIQUE (token_hash)
);
CREATE TABLE share_out (
	id INTEGER NOT NULL, 
	stretch_id INTEGER NOT NULL, 
	sort VARCHAR NOT NULL, 
	created_at BIGINT NOT NULL, 
	kind VARCHAR NOT NULL, 
	outcome JSON NOT NULL, 
	published_at BIGINT, 
	CONSTRAINT pk_share_out PRIMARY KEY (id), 
	CONSTRAINT fk_share_out_stretch_id FOREIGN KEY(stretch_id) REFERENCES stretch (id)
);
INSERT INTO "share_out" VALUES(1,1,'stretch',1794830400,'proved best','{"refusals": [], "satisfactions": [{"squad": "u12-kestrels", "squad_name": "U12 Kestrels", "score": 100, "best_alone": 100, "percent": 100, "past": 0}, {"squad": "u14-harriers", "squad_name": "U14 Harriers", "score": 200, "best_alone": 200, "percent": 100, "past": 0}], "levels": [{"name": "placing sessions", "value": 19, "bound": 19, "is_proved": true, "gap": 0.0}, {"name": "serving the worst-off squad", "value": 100, "bound": 100, "is_proved": true, "gap": 0.0}, {"name": "being fair", "value": 0, "bound": 0, "is_proved": true, "gap": 0.0}, {"name": "granting wishes", "value": 300, "bound": 300, "is_proved": true, "gap": 0.0}], "seconds": 0.034, "problem_digest": "d8a18910ed4ddeae", "is_repeatable": true, "asked": 3, "kind": "proved best", "sentence": "All 3 sessions asked for have a place. It is proved that no other plan does better, first in placing sessions, then in serving the worst-off squad, then in being fair, then in granting wishes.", "first": "2026-11-09", "last": "2026-12-18", "squads": null, "placements": [{"ask": "2", "session": 0, "squad": "u14-harriers", "squad_name": "U14 Harriers", "ground": "marsh-lane-top-pitch/third-1", "ground_name": "Clubhouse third, Top pitch", "weekday": 0, "start_min": 1080, "end_min": 1140, "dates": ["2026-11-09", "2026-11-16", "2026-11-23", "2026-11-30", "2026-12-14"], "lost_dates": [], "is_pinned": false}, {"ask": "2", "session": 1, "squad": "u14-harriers", "squad_name": "U14 Harriers", "ground": "marsh-lane-top-pitch/third-1", "ground_name": "Clubhouse third, Top pitch", "weekday": 1, "start_min": 1080, "end_min": 1140, "dates": ["2026-11-10", "2026-11-17", "2026-11-24", "2026-12-01", "2026-12-15"], "lost_dates": [], "is_pinned": false}, {"ask": "1", "session": 0, "squad": "u12-kestrels", "squad_name": "U12 Kestrels", "ground": "marsh-lane-top-pitch/third-1", "ground_name": "Clubhouse third, Top pitch", "weekday": 2, "start_min": 1080, "end_min": 1155, "dates": ["2026-11-11", "2026-11-18", "2026-11-25", "2026-12-02", "2026-12-16"], "lost_dates": [], "is_pinned": false}], "closures": [], "published": {"added": 12, "moved": 0, "kept": 0, "withdrawn": 0, "closed": 0, "lines": [{"squad_name": "U12 Kestrels", "change": "added", "old": "", "new": "Wednesday 18:00\u201319:15, Clubhouse third, Top pitch", "dates": "4 dates from 18 Nov 2026 to 16 Dec 2026", "count": 4}, {"squad_name": "U14 Harriers", "change": "added", "old": "", "new": "Monday 18:00\u201319:00, Clubhouse third, Top pitch", "dates": "4 dates from 16 Nov 2026 to 14 Dec 2026", "count": 4}, {"squad_name": "U14 Harriers", "change": "added", "old": "", "new": "Tuesday 18:00\u201319:00, Clubhouse third, Top pitch", "dates": "4 dates from 17 Nov 2026 to 15 Dec 2026", "count": 4}]}}',1794830400);
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
	CONSTRAINT uq_sign_in_secret_hash UNIQUE (secret_hash)
);
CREATE TABLE sign_in_try (
	id INTEGER NOT NULL, 
	counted_under VARCHAR NOT NULL, 
	tried_at BIGINT NOT NULL, 
	CONSTRAINT pk_sign_in_try PRIMARY KEY (id)
);
CREATE TABLE squad (
	id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	position INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	age_group VARCHAR NOT NULL, 
	players INTEGER NOT NULL, 
	goalkeepers INTEGER NOT NULL, 
	coach VARCHAR NOT NULL, 
	coach_email VARCHAR NOT NULL, 
	CONSTRAINT pk_squad PRIMARY KEY (id), 
	CONSTRAINT uq_squad_key UNIQUE ("key")
);
INSERT INTO "squad" VALUES(1,'u12-kestrels',0,'U12 Kestrels','U12',14,1,'Robin Hale','');
INSERT INTO "squad" VALUES(2,'u14-harriers',1,'U14 Harriers','U14',16,2,'Sam Reed','');
CREATE TABLE stretch (
	id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	starts_on DATE NOT NULL, 
	ends_on DATE NOT NULL, 
	CONSTRAINT pk_stretch PRIMARY KEY (id), 
	CONSTRAINT uq_stretch_key UNIQUE ("key")
);
INSERT INTO "stretch" VALUES(1,'winter','Winter','2026-11-09','2026-12-18');
CREATE TABLE training_break (
	id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	starts_on DATE NOT NULL, 
	ends_on DATE NOT NULL, 
	CONSTRAINT pk_training_break PRIMARY KEY (id)
);
INSERT INTO "training_break" VALUES(1,'Christmas','2026-12-07','2026-12-13');
CREATE TABLE venue (
	id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	position INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	address VARCHAR NOT NULL, 
	lon DOUBLE NOT NULL, 
	lat DOUBLE NOT NULL, 
	opening JSON NOT NULL, 
	lights_off_min INTEGER, 
	dusk_margin_minutes INTEGER NOT NULL, 
	CONSTRAINT pk_venue PRIMARY KEY (id), 
	CONSTRAINT uq_venue_key UNIQUE ("key")
);
INSERT INTO "venue" VALUES(1,'marsh-lane',0,'Marsh Lane','Marsh Lane, Alderby',-1.2,52.9,'[[0, 1020, 1320], [1, 1020, 1320], [2, 1020, 1320], [3, 1020, 1320], [4, 1020, 1320], [5, 540, 1080], [6, 540, 1080]]',1290,10);
CREATE INDEX ix_sign_in_person_id ON sign_in (person_id);
CREATE INDEX ix_browser_person_id ON browser (person_id);
CREATE INDEX ix_sent_form_sent_at ON sent_form (sent_at);
CREATE INDEX ix_sign_in_try_counted_under ON sign_in_try (counted_under, tried_at);
CREATE INDEX ix_person_squad_squad_id ON person_squad (squad_id);
CREATE INDEX ix_ask_squad_id ON ask (squad_id);
CREATE INDEX ix_pitch_venue_id ON pitch (venue_id);
CREATE INDEX ix_share_out_stretch_id ON share_out (stretch_id);
CREATE INDEX ix_obstacle_pitch_id ON obstacle (pitch_id);
CREATE INDEX ix_booking_area_id ON booking (area_id);
CREATE INDEX ix_booking_pitch_id_starts_at ON booking (pitch_id, starts_at);
CREATE INDEX ix_booking_squad_id_starts_at ON booking (squad_id, starts_at);
CREATE INDEX ix_booking_starts_at ON booking (starts_at);
CREATE INDEX ix_booking_change_at ON booking_change (at);
CREATE INDEX ix_changed_booking_area_id ON changed_booking (area_id);
CREATE INDEX ix_changed_booking_booking_id ON changed_booking (booking_id);
CREATE INDEX ix_changed_booking_change_id ON changed_booking (change_id);
CREATE INDEX ix_closure_area_id ON closure (area_id);
CREATE INDEX ix_closure_day_closure_id ON closure_day (closure_id);
CREATE INDEX ix_mail_squad_id ON mail (squad_id);
CREATE INDEX ix_mail_state_next_try_at ON mail (state, next_try_at);
CREATE INDEX ix_link_mail_id ON link (mail_id);
CREATE INDEX ix_link_pitch_id ON link (pitch_id);
CREATE INDEX ix_link_squad_id ON link (squad_id);
CREATE INDEX ix_notice_entry_id ON notice (entry_id);
CREATE INDEX ix_notice_told_at_squad_id ON notice (told_at, squad_id);
CREATE TRIGGER booking_guard_insert BEFORE INSERT ON booking FOR EACH ROW 
BEGIN
    SELECT RAISE(ABORT, 'booking_guard: too long') WHERE NEW.ends_at - NEW.starts_at > 90000;
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
CREATE TRIGGER booking_guard_update BEFORE UPDATE OF pitch_id, cells, starts_at, ends_at, is_withdrawn ON booking FOR EACH ROW 
BEGIN
    SELECT RAISE(ABORT, 'booking_guard: too long') WHERE NEW.ends_at - NEW.starts_at > 90000;
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
COMMIT;
