-- {"squad":"","coach":"","pitch":"","browsers":{},"password":""}
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
	sequence INTEGER NOT NULL, 
	created_at BIGINT NOT NULL, 
	changed_at BIGINT NOT NULL, 
	CONSTRAINT pk_booking PRIMARY KEY (id), 
	CONSTRAINT ck_booking_has_ground CHECK (cells > 0), 
	CONSTRAINT ck_booking_runs_forward CHECK (ends_at > starts_at), 
	CONSTRAINT fk_booking_area_id FOREIGN KEY(area_id) REFERENCES area (id), 
	CONSTRAINT fk_booking_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id), 
	CONSTRAINT fk_booking_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT uq_booking_uid UNIQUE (uid), 
	CONSTRAINT ck_booking_purpose CHECK (purpose IN ('training', 'match', 'hire', 'closed'))
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
CREATE TABLE obstacle (
	id INTEGER NOT NULL, 
	pitch_id INTEGER NOT NULL, 
	polygon BLOB NOT NULL, 
	CONSTRAINT pk_obstacle PRIMARY KEY (id), 
	CONSTRAINT fk_obstacle_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id)
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
CREATE TABLE secretary_key (
	id INTEGER NOT NULL, 
	secret_hash VARCHAR NOT NULL, 
	is_browser BOOLEAN NOT NULL, 
	created_at BIGINT NOT NULL, 
	ends_at BIGINT NOT NULL, 
	CONSTRAINT pk_secretary_key PRIMARY KEY (id), 
	CONSTRAINT uq_secretary_key_secret_hash UNIQUE (secret_hash)
);
CREATE TABLE share_out (
	id INTEGER NOT NULL, 
	stretch_id INTEGER NOT NULL, 
	created_at BIGINT NOT NULL, 
	kind VARCHAR NOT NULL, 
	outcome JSON NOT NULL, 
	published_at BIGINT, 
	CONSTRAINT pk_share_out PRIMARY KEY (id), 
	CONSTRAINT fk_share_out_stretch_id FOREIGN KEY(stretch_id) REFERENCES stretch (id)
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
CREATE TABLE squad_link (
	id INTEGER NOT NULL, 
	squad_id INTEGER NOT NULL, 
	secret_hash VARCHAR NOT NULL, 
	holder VARCHAR NOT NULL, 
	created_at BIGINT NOT NULL, 
	revoked_at BIGINT, 
	CONSTRAINT pk_squad_link PRIMARY KEY (id), 
	CONSTRAINT fk_squad_link_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id), 
	CONSTRAINT uq_squad_link_secret_hash UNIQUE (secret_hash)
);
CREATE TABLE stretch (
	id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	starts_on DATE NOT NULL, 
	ends_on DATE NOT NULL, 
	CONSTRAINT pk_stretch PRIMARY KEY (id), 
	CONSTRAINT uq_stretch_key UNIQUE ("key")
);
CREATE TABLE training_break (
	id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	starts_on DATE NOT NULL, 
	ends_on DATE NOT NULL, 
	CONSTRAINT pk_training_break PRIMARY KEY (id)
);
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
CREATE INDEX ix_ask_squad_id ON ask (squad_id);
CREATE INDEX ix_pitch_venue_id ON pitch (venue_id);
CREATE INDEX ix_share_out_stretch_id ON share_out (stretch_id);
CREATE INDEX ix_squad_link_squad_id ON squad_link (squad_id);
CREATE INDEX ix_obstacle_pitch_id ON obstacle (pitch_id);
CREATE INDEX ix_booking_area_id ON booking (area_id);
CREATE INDEX ix_booking_pitch_id_starts_at ON booking (pitch_id, starts_at);
CREATE INDEX ix_booking_squad_id_starts_at ON booking (squad_id, starts_at);
CREATE INDEX ix_booking_starts_at ON booking (starts_at);
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
