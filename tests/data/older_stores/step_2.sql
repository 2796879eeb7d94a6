PRAGMA application_id = 1986817895;
PRAGMA user_version = 2;
BEGIN TRANSACTION;
CREATE TABLE client_fact (
            fact_id INTEGER PRIMARY KEY,
            client TEXT NOT NULL,
            kind TEXT NOT NULL CHECK (kind IN ('answer', 'clearance', 'function', 'rating')),
            body TEXT NOT NULL,       -- the whole fact as JSON
            UNIQUE (client, kind, body)
        ) STRICT;
INSERT INTO "client_fact" VALUES(1,'C-014','answer','{"client":"C-014","item":"A1","answer":"no","asked_by":"AB","asked_at":"2026-03-02T09:00:00Z","note":""}');
CREATE TABLE clip (
            clip_id INTEGER PRIMARY KEY,
            entry_id TEXT NOT NULL,
            version INTEGER NOT NULL,
            text TEXT NOT NULL,
            duration_s REAL NOT NULL,
            flac BLOB NOT NULL,
            FOREIGN KEY (entry_id, version) REFERENCES entry_version
        ) STRICT;
INSERT INTO "clip" VALUES(1,'baseline',1,'left ankle dorsiflexion baseline twelve degrees pain six',1.5,X'664C6143626173656C696E65');
INSERT INTO "clip" VALUES(2,'gap',1,'gap trial sixteen degrees pain three',1.5,X'664C6143676170');
CREATE TABLE entry_version (
            entry_id TEXT NOT NULL,
            version INTEGER NOT NULL CHECK (version >= 1),
            visit_id TEXT NOT NULL REFERENCES visit,
            status TEXT NOT NULL
                CHECK (status IN ('unconfirmed', 'confirmed', 'dropped', 'withdrawn')),
            spoken_at TEXT NOT NULL,  -- ISO 8601, UTC
            at TEXT NOT NULL,         -- ISO 8601, UTC
            body TEXT NOT NULL,       -- the whole version as JSON
            PRIMARY KEY (entry_id, version)
        ) STRICT;
INSERT INTO "entry_version" VALUES('baseline',1,'2026-03-02-1','unconfirmed','2026-03-02T09:01:00.000000+00:00','2026-03-02T09:01:00.000000+00:00','{"entry_id":"baseline","visit_id":"2026-03-02-1","client":"C-014","version":1,"status":"unconfirmed","content":{"kind":"record","side":"left","joint":"ankle","motion":"dorsiflexion","phase":"baseline","range_deg":12,"onset":false,"pain":6,"quality":[],"end_feel":null,"outcome":null,"manner":null,"position":null,"instrument":null},"spoken_at":"2026-03-02T09:01:00Z","at":"2026-03-02T09:01:00Z","by":"AB","why":"dictated","evidence":[{"text":"left ankle dorsiflexion baseline twelve degrees pain six","confidence":0.9,"slot_confidence":{"pain":0.8},"alternatives":["left ankle dorsiflexion baseline twelve degrees pain six free"],"engine":"scripted","model":"","grammar_version":"1"}],"affirmed":null}');
INSERT INTO "entry_version" VALUES('baseline',2,'2026-03-02-1','confirmed','2026-03-02T09:01:00.000000+00:00','2026-03-02T09:01:04.000000+00:00','{"entry_id":"baseline","visit_id":"2026-03-02-1","client":"C-014","version":2,"status":"confirmed","content":{"kind":"record","side":"left","joint":"ankle","motion":"dorsiflexion","phase":"baseline","range_deg":12,"onset":false,"pain":6,"quality":[],"end_feel":null,"outcome":null,"manner":null,"position":null,"instrument":null},"spoken_at":"2026-03-02T09:01:00Z","at":"2026-03-02T09:01:04Z","by":"AB","why":"affirmed","evidence":[{"text":"left ankle dorsiflexion baseline twelve degrees pain six","confidence":0.9,"slot_confidence":{"pain":0.8},"alternatives":["left ankle dorsiflexion baseline twelve degrees pain six free"],"engine":"scripted","model":"","grammar_version":"1"}],"affirmed":{"read_back":"left ankle dorsiflexion baseline twelve degrees pain six","by":"voice"}}');
INSERT INTO "entry_version" VALUES('gap',1,'2026-03-02-1','unconfirmed','2026-03-02T09:02:00.000000+00:00','2026-03-02T09:02:00.000000+00:00','{"entry_id":"gap","visit_id":"2026-03-02-1","client":"C-014","version":1,"status":"unconfirmed","content":{"kind":"record","side":"left","joint":"ankle","motion":"dorsiflexion","phase":"gap","range_deg":16,"onset":false,"pain":3,"quality":[],"end_feel":null,"outcome":null,"manner":null,"position":null,"instrument":null},"spoken_at":"2026-03-02T09:02:00Z","at":"2026-03-02T09:02:00Z","by":"AB","why":"dictated","evidence":[{"text":"gap trial sixteen degrees pain three","confidence":0.9,"slot_confidence":{"pain":0.8},"alternatives":["gap trial sixteen degrees pain three free"],"engine":"scripted","model":"","grammar_version":"1"}],"affirmed":null}');
INSERT INTO "entry_version" VALUES('gap',2,'2026-03-02-1','confirmed','2026-03-02T09:02:00.000000+00:00','2026-03-02T09:02:04.000000+00:00','{"entry_id":"gap","visit_id":"2026-03-02-1","client":"C-014","version":2,"status":"confirmed","content":{"kind":"record","side":"left","joint":"ankle","motion":"dorsiflexion","phase":"gap","range_deg":16,"onset":false,"pain":3,"quality":[],"end_feel":null,"outcome":null,"manner":null,"position":null,"instrument":null},"spoken_at":"2026-03-02T09:02:00Z","at":"2026-03-02T09:02:04Z","by":"AB","why":"affirmed","evidence":[{"text":"gap trial sixteen degrees pain three","confidence":0.9,"slot_confidence":{"pain":0.8},"alternatives":["gap trial sixteen degrees pain three free"],"engine":"scripted","model":"","grammar_version":"1"}],"affirmed":{"read_back":"gap trial sixteen degrees pain three","by":"voice"}}');
INSERT INTO "entry_version" VALUES('half',1,'2026-03-02-1','unconfirmed','2026-03-02T09:03:00.000000+00:00','2026-03-02T09:03:00.000000+00:00','{"entry_id":"half","visit_id":"2026-03-02-1","client":"C-014","version":1,"status":"unconfirmed","content":{"kind":"record","side":"right","joint":"shoulder","motion":null,"phase":null,"range_deg":null,"onset":false,"pain":5,"quality":[],"end_feel":null,"outcome":null,"manner":null,"position":null,"instrument":null},"spoken_at":"2026-03-02T09:03:00Z","at":"2026-03-02T09:03:00Z","by":"AB","why":"dictated","evidence":[{"text":"right shoulder pain five","confidence":0.9,"slot_confidence":{"pain":0.8},"alternatives":["right shoulder pain five free"],"engine":"scripted","model":"","grammar_version":"1"}],"affirmed":null}');
INSERT INTO "entry_version" VALUES('gone',1,'2026-03-02-1','unconfirmed','2026-03-02T09:04:00.000000+00:00','2026-03-02T09:04:00.000000+00:00','{"entry_id":"gone","visit_id":"2026-03-02-1","client":"C-014","version":1,"status":"unconfirmed","content":{"kind":"note","text":"nothing","checked":false},"spoken_at":"2026-03-02T09:04:00Z","at":"2026-03-02T09:04:00Z","by":"AB","why":"dictated","evidence":[{"text":"note","confidence":0.9,"slot_confidence":{"pain":0.8},"alternatives":["note free"],"engine":"scripted","model":"","grammar_version":"1"}],"affirmed":null}');
INSERT INTO "entry_version" VALUES('gone',2,'2026-03-02-1','dropped','2026-03-02T09:04:00.000000+00:00','2026-03-02T09:05:00.000000+00:00','{"entry_id":"gone","visit_id":"2026-03-02-1","client":"C-014","version":2,"status":"dropped","content":{"kind":"note","text":"nothing","checked":false},"spoken_at":"2026-03-02T09:04:00Z","at":"2026-03-02T09:05:00Z","by":"AB","why":"disregard","evidence":[{"text":"note","confidence":0.9,"slot_confidence":{"pain":0.8},"alternatives":["note free"],"engine":"scripted","model":"","grammar_version":"1"}],"affirmed":null}');
CREATE TABLE visit (
            visit_id TEXT PRIMARY KEY,
            client TEXT NOT NULL,
            started_at TEXT NOT NULL, -- ISO 8601, UTC
            body TEXT NOT NULL        -- the whole visit as JSON
        ) STRICT;
INSERT INTO "visit" VALUES('2026-03-02-1','C-014','2026-03-02T09:00:00.000000+00:00','{"visit_id":"2026-03-02-1","client":"C-014","started_at":"2026-03-02T09:00:00Z","ended_at":"2026-03-02T09:30:00Z"}');
INSERT INTO "visit" VALUES('2026-03-03-1','C-015','2026-03-03T09:00:00.000000+00:00','{"visit_id":"2026-03-03-1","client":"C-015","started_at":"2026-03-03T09:00:00Z","ended_at":null}');
CREATE INDEX visit_by_client ON visit (client, started_at);
CREATE INDEX entry_version_by_visit ON entry_version (visit_id, spoken_at);
CREATE TRIGGER entry_version_never_changes BEFORE UPDATE ON entry_version
            BEGIN SELECT RAISE(ABORT, 'a version of an entry never changes'); END;
CREATE INDEX clip_by_entry ON clip (entry_id, version);
CREATE TRIGGER client_fact_never_changes BEFORE UPDATE ON client_fact
            BEGIN SELECT RAISE(ABORT, 'a fact on file never changes'); END;
COMMIT;
