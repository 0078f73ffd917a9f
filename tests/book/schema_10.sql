-- A book as schema 10 made it, with rows in every table. Read by tests/book/test_migration.c; never changed.
PRAGMA application_id = 1280787033;
PRAGMA user_version = 10;
CREATE TABLE setting (key TEXT PRIMARY KEY NOT NULL CHECK (key <> ''), value TEXT NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE rig (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE CHECK (name <> ''), doc TEXT NOT NULL) STRICT;
CREATE TABLE crew (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE CHECK (name <> ''), doc TEXT NOT NULL) STRICT;
CREATE TABLE place (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE CHECK (name <> ''),
 latitude_deg REAL NOT NULL CHECK (latitude_deg BETWEEN -90 AND 90),
 longitude_deg REAL NOT NULL CHECK (longitude_deg BETWEEN -180 AND 180),
 elevation_m REAL CHECK (elevation_m BETWEEN -430 AND 9000), zone TEXT, manager TEXT, doc TEXT NOT NULL) STRICT;
CREATE TABLE stay (id INTEGER PRIMARY KEY AUTOINCREMENT,
 place INTEGER NOT NULL REFERENCES place (id), rig INTEGER NOT NULL REFERENCES rig (id),
 crew INTEGER NOT NULL REFERENCES crew (id), arrival_s INTEGER NOT NULL,
 departure_s INTEGER CHECK (departure_s >= arrival_s), left_s INTEGER CHECK (left_s >= arrival_s),
 doc TEXT NOT NULL) STRICT;
CREATE TABLE entry (seq INTEGER PRIMARY KEY AUTOINCREMENT, id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
 device TEXT NOT NULL CHECK (device <> ''), stay INTEGER REFERENCES stay (id), stated_s INTEGER NOT NULL,
 device_s INTEGER NOT NULL, server_s INTEGER NOT NULL, kind TEXT NOT NULL CHECK (kind <> ''), target TEXT,
 low REAL, high REAL, unit TEXT, amount REAL, said TEXT, note TEXT,
 undoes BLOB UNIQUE REFERENCES entry (id),
 is_clock_doubted INTEGER NOT NULL DEFAULT 0 CHECK (is_clock_doubted IN (0, 1)),
 CHECK (low <= high), CHECK ((low IS NULL) = (high IS NULL)), CHECK ((kind = 'undo') = (undoes IS NOT NULL)))
 STRICT;
CREATE TRIGGER entry_stays BEFORE DELETE ON entry BEGIN SELECT raise(ABORT, 'an entry is never deleted'); END;
CREATE TRIGGER entry_is_fixed BEFORE UPDATE OF seq, id, device, stay, device_s, server_s, kind, target, low, high,
 unit, amount, said, note, undoes ON entry BEGIN SELECT raise(ABORT, 'an entry is never changed'); END;
ALTER TABLE entry ADD COLUMN detail TEXT;
CREATE TRIGGER entry_detail_is_fixed BEFORE UPDATE OF detail ON entry BEGIN SELECT raise(ABORT, 'an entry is never changed'); END;
CREATE INDEX entry_by_time ON entry (stated_s, seq);
CREATE INDEX entry_by_stay ON entry (stay, stated_s, seq) WHERE stay IS NOT NULL;
CREATE INDEX entry_by_target ON entry (kind, target, stated_s, seq);
CREATE INDEX entry_by_stay_target ON entry (stay, kind, target, stated_s, seq) WHERE stay IS NOT NULL;
CREATE INDEX entry_doubted ON entry (device) WHERE is_clock_doubted = 1;
CREATE INDEX stay_by_arrival ON stay (arrival_s);
CREATE TABLE past_weather (place INTEGER NOT NULL REFERENCES place (id), hour_s INTEGER NOT NULL CHECK (hour_s % 3600 = 0), air_c REAL, wind_ms REAL CHECK (wind_ms >= 0), humidity_frac REAL CHECK (humidity_frac BETWEEN 0 AND 1), ghi_wm2 REAL CHECK (ghi_wm2 >= 0), precip_mm REAL CHECK (precip_mm >= 0), snow_mm REAL CHECK (snow_mm >= 0), source TEXT NOT NULL, PRIMARY KEY (place, hour_s)) STRICT, WITHOUT ROWID;
CREATE TABLE forecast (id BLOB PRIMARY KEY NOT NULL CHECK (length(id) = 16), made_s INTEGER NOT NULL, stay INTEGER REFERENCES stay (id), program_version TEXT NOT NULL, table_hash TEXT NOT NULL, seed INTEGER NOT NULL, draws INTEGER NOT NULL CHECK (draws >= 0), input TEXT NOT NULL, result TEXT NOT NULL) STRICT;
CREATE INDEX forecast_by_stay ON forecast (stay, made_s);
CREATE INDEX forecast_by_time ON forecast (made_s);
ALTER TABLE stay ADD COLUMN summary TEXT;
CREATE TABLE learned (stay INTEGER PRIMARY KEY REFERENCES stay (id), key INTEGER NOT NULL, moment_s INTEGER NOT NULL, draws BLOB NOT NULL) STRICT;
CREATE TABLE map_source (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE CHECK (name <> ''),
 credit TEXT, imported_s INTEGER NOT NULL) STRICT;
CREATE TABLE spot (id INTEGER PRIMARY KEY AUTOINCREMENT, source INTEGER NOT NULL REFERENCES map_source (id),
 key TEXT NOT NULL CHECK (key <> ''), name TEXT, kinds INTEGER NOT NULL CHECK (kinds > 0),
 fit INTEGER NOT NULL CHECK (fit BETWEEN 0 AND 2),
 latitude_deg REAL NOT NULL CHECK (latitude_deg BETWEEN -90 AND 90),
 longitude_deg REAL NOT NULL CHECK (longitude_deg BETWEEN -180 AND 180), detail TEXT,
 imported_s INTEGER NOT NULL, UNIQUE (source, key)) STRICT;
CREATE TABLE device (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL CHECK (name <> ''), token_hash BLOB NOT NULL UNIQUE CHECK (length(token_hash) = 32), paired_s INTEGER NOT NULL, seen_s INTEGER) STRICT;
CREATE TABLE answered (id BLOB PRIMARY KEY NOT NULL CHECK (length(id) = 16), server_s INTEGER NOT NULL, answer TEXT NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE changes (one INTEGER PRIMARY KEY CHECK (one = 1), count INTEGER NOT NULL) STRICT;
INSERT INTO changes VALUES (1, 0);
CREATE TRIGGER setting_added AFTER INSERT ON setting BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER setting_changed AFTER UPDATE ON setting BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER setting_gone AFTER DELETE ON setting BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER rig_added AFTER INSERT ON rig BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER rig_changed AFTER UPDATE ON rig BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER rig_gone AFTER DELETE ON rig BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER crew_added AFTER INSERT ON crew BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER crew_changed AFTER UPDATE ON crew BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER crew_gone AFTER DELETE ON crew BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER place_added AFTER INSERT ON place BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER place_changed AFTER UPDATE ON place BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER place_gone AFTER DELETE ON place BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER stay_added AFTER INSERT ON stay BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER stay_changed AFTER UPDATE ON stay BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER stay_gone AFTER DELETE ON stay BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER entry_added AFTER INSERT ON entry BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER entry_changed AFTER UPDATE ON entry BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER entry_gone AFTER DELETE ON entry BEGIN UPDATE changes SET count = count + 1; END;
ALTER TABLE map_source ADD COLUMN data_s INTEGER;
CREATE TABLE land (id INTEGER PRIMARY KEY AUTOINCREMENT, source INTEGER NOT NULL REFERENCES map_source (id),
 key TEXT NOT NULL CHECK (key <> ''), name TEXT, manager TEXT, said TEXT, access TEXT, designation TEXT,
 shape BLOB NOT NULL, imported_s INTEGER NOT NULL, UNIQUE (source, key)) STRICT;
CREATE VIRTUAL TABLE land_box USING rtree (id, west, east, south, north);
CREATE TABLE coverage (id INTEGER PRIMARY KEY AUTOINCREMENT, source INTEGER NOT NULL REFERENCES map_source (id), key TEXT NOT NULL CHECK (key <> ''), who TEXT NOT NULL CHECK (who <> ''), technology INTEGER NOT NULL, is_in_vehicles INTEGER NOT NULL CHECK (is_in_vehicles IN (0, 1)), down_mbit REAL, up_mbit REAL, shape BLOB NOT NULL, imported_s INTEGER NOT NULL, UNIQUE (source, key)) STRICT;
CREATE INDEX coverage_by_who ON coverage (who);
CREATE VIRTUAL TABLE coverage_box USING rtree (id, west, east, south, north);
CREATE TABLE cell (id INTEGER PRIMARY KEY AUTOINCREMENT, source INTEGER NOT NULL REFERENCES map_source (id), key TEXT NOT NULL CHECK (key <> ''), mcc INTEGER NOT NULL, net INTEGER NOT NULL, radio INTEGER NOT NULL CHECK (radio IN (0, 1)), mast INTEGER NOT NULL, latitude_deg REAL NOT NULL CHECK (latitude_deg BETWEEN -90 AND 90), longitude_deg REAL NOT NULL CHECK (longitude_deg BETWEEN -180 AND 180), samples REAL NOT NULL, is_exact INTEGER NOT NULL CHECK (is_exact IN (0, 1)), imported_s INTEGER NOT NULL, UNIQUE (source, key)) STRICT;
CREATE VIRTUAL TABLE cell_box USING rtree (id, west, east, south, north);
CREATE TABLE trip (name TEXT PRIMARY KEY NOT NULL CHECK (name <> ''), made_s INTEGER NOT NULL, camp TEXT NOT NULL, input TEXT NOT NULL, result TEXT NOT NULL) STRICT, WITHOUT ROWID;
CREATE TRIGGER trip_added AFTER INSERT ON trip BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER trip_changed AFTER UPDATE ON trip BEGIN UPDATE changes SET count = count + 1; END;
CREATE TRIGGER trip_gone AFTER DELETE ON trip BEGIN UPDATE changes SET count = count + 1; END;
CREATE TABLE trip_lasting (id INTEGER PRIMARY KEY AUTOINCREMENT, form INTEGER NOT NULL, key INTEGER NOT NULL, nights BLOB NOT NULL, UNIQUE (form, key)) STRICT;
CREATE VIRTUAL TABLE spot_kind_box USING rtree (id, west, east, south, north, kind_low, kind_high);
INSERT INTO setting VALUES ('units', 'si');
INSERT INTO rig VALUES (1, 'the old bus', 'rig: van
');
INSERT INTO crew VALUES (1, 'two of us', 'crew: 2 adults
');
INSERT INTO place VALUES (1, 'dry lake', 38.5, -110.25, 1410.0, 'America/Denver', NULL, '');
INSERT INTO stay VALUES (1, 1, 1, 1, 1780000000, 1780600000, NULL, 'stay: {}
', '{}');
INSERT INTO entry (id, device, stay, stated_s, device_s, server_s, kind, target, low, high, unit, said)
 VALUES (x'000102030405060708090a0b0c0d0e0f', 'phone', 1, 1780000100, 1780000101, 1780000102, 'reading', 'fresh',
 0.625, 0.75, 'frac', 'fresh=2/3');
INSERT INTO entry (id, device, stay, stated_s, device_s, server_s, kind, target, amount, unit)
 VALUES (x'101112131415161718191a1b1c1d1e1f', 'phone', 1, 1780003700, 1780003700, 1780003700, 'filled', 'fresh', 20.0, 'l');
INSERT INTO entry (id, device, stay, stated_s, device_s, server_s, kind, target, undoes)
 VALUES (x'202122232425262728292a2b2c2d2e2f', 'phone', 1, 1780003800, 1780003800, 1780003800, 'undo', 'fresh',
 x'101112131415161718191a1b1c1d1e1f');
INSERT INTO entry (id, device, stay, stated_s, device_s, server_s, kind, target, low, high, unit, said, detail)
 VALUES (x'303132333435363738393a3b3c3d3e3f', 'phone', 1, 1780005000, 1780005000, 1780005000, 'signal', 'a carrier/phone',
 -101.0, -101.0, 'dbm', 'signal dbm=-101', '{down_mbit: 4}');
INSERT INTO past_weather VALUES (1, 1780002000, 21.5, NULL, 0.4, 0.0, 0.0, NULL, 'measured');
INSERT INTO forecast VALUES (x'404142434445464748494a4b4c4d4e4f', 1780000000, 1, '0.1', 'x', -1, 100, 'leeway: 1', '{}');
INSERT INTO learned VALUES (1, 7, 1780000000, x'61626364');
INSERT INTO map_source VALUES (1, 'an invented map', NULL, 1780000000, 1770000000);
INSERT INTO spot VALUES (1, 1, 'n1', 'a tap', 1, 0, 38.5, -110.25, NULL, 1780000000);
INSERT INTO spot_kind_box VALUES (1, -110.25, -110.25, 38.5, 38.5, 0, 0.5);
INSERT INTO device VALUES (1, 'a phone', zeroblob(32), 1780000000, NULL);
INSERT INTO answered VALUES (zeroblob(16), 1780000000, '{}');
INSERT INTO land VALUES (1, 1, 'a1', 'a flat', 'blm', 'BLM', NULL, NULL,
 x'010000000300000000000000000000000000000040420f0040420f0040420f00', 1780000000);
INSERT INTO land_box VALUES (1, 0, 1, 0, 1);
INSERT INTO coverage VALUES (1, 1, 'c1', 'one', 4, 1, 5.0, NULL, x'010000000300000000000000000000000000000040420f0040420f0040420f00', 1780000000);
INSERT INTO coverage_box VALUES (1, 0, 1, 0, 1);
INSERT INTO cell VALUES (1, 1, 'm1', 310, 260, 0, 17, 38.5, -110.5, 3.0, 0, 1780000000);
INSERT INTO cell_box VALUES (1, -110.5, -110.5, 38.5, 38.5);
INSERT INTO trip VALUES ('west', 1780000000, 'camp: {}', 'trip: {}', '{}');
INSERT INTO trip_lasting VALUES (1, 1, 7, x'61626364');
