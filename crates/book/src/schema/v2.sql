-- A book of version 2. Entries and photos are what was recorded; all else is derived from them.
CREATE TABLE finds (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    slug TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL DEFAULT '',
    number INTEGER,
    readings INTEGER NOT NULL DEFAULT 0,
    last_entry INTEGER NOT NULL DEFAULT 0,
    updated TEXT NOT NULL DEFAULT '',
    updated_millis INTEGER NOT NULL DEFAULT 0,
    first_photo TEXT,
    highest_reading INTEGER NOT NULL DEFAULT 0,
    highest_setup INTEGER NOT NULL DEFAULT 0,
    plate TEXT NOT NULL DEFAULT '',
    parts INTEGER NOT NULL DEFAULT 0,
    told INTEGER NOT NULL DEFAULT 0,
    touched INTEGER NOT NULL DEFAULT 0,
    judged INTEGER
);
CREATE TABLE entries (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    find INTEGER NOT NULL REFERENCES finds (id),
    at TEXT NOT NULL,
    millis INTEGER NOT NULL,
    device TEXT,
    key TEXT UNIQUE,
    seen INTEGER,
    version INTEGER NOT NULL,
    kind TEXT NOT NULL,
    what TEXT NOT NULL
);
CREATE INDEX entries_of_find ON entries (find, id, kind);
CREATE TRIGGER entries_stay BEFORE UPDATE ON entries BEGIN SELECT RAISE (ABORT, 'an entry is never changed'); END;
CREATE TRIGGER entries_stay_there BEFORE DELETE ON entries BEGIN SELECT RAISE (ABORT, 'an entry is never erased'); END;
CREATE TRIGGER finds_stay_there BEFORE DELETE ON finds BEGIN SELECT RAISE (ABORT, 'a find is never erased'); END;
CREATE TABLE photos (
    digest TEXT PRIMARY KEY,
    mime TEXT NOT NULL,
    width INTEGER NOT NULL,
    height INTEGER NOT NULL,
    bytes BLOB NOT NULL
);
CREATE TABLE tags (find INTEGER NOT NULL REFERENCES finds (id), word TEXT NOT NULL, PRIMARY KEY (find, word)) WITHOUT ROWID;
CREATE TABLE texts (id INTEGER PRIMARY KEY, find INTEGER NOT NULL REFERENCES finds (id), noun TEXT NOT NULL, text TEXT NOT NULL, UNIQUE (find, noun));
CREATE VIRTUAL TABLE words USING fts5 (text, content = 'texts', content_rowid = 'id', tokenize = "unicode61 remove_diacritics 2", prefix = '2 3');
CREATE TRIGGER texts_added AFTER INSERT ON texts BEGIN
    INSERT INTO words (rowid, text) VALUES (new.id, new.text);
END;
CREATE TRIGGER texts_taken AFTER DELETE ON texts BEGIN
    INSERT INTO words (words, rowid, text) VALUES ('delete', old.id, old.text);
END;
