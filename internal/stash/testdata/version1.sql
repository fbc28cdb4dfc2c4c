-- The ledger, version 1. Lengths are inches, areas square inches, times whole
-- milliseconds since 1970-01-01 UTC; colours are linear sRGB primaries under
-- D65, 0..1, the cloth's own (albedo); outlines are full-size pixels of the
-- upright photo. Zero and '' mean "not known". Every table of hers has an
-- integer id, by which the journal knows its rows.

CREATE TABLE photo (
  id           INTEGER PRIMARY KEY AUTOINCREMENT,
  hash         TEXT NOT NULL UNIQUE, -- SHA-256 of the file, hex
  name         TEXT NOT NULL,        -- as she knows it
  file         TEXT NOT NULL,        -- in the folder of photos; '' where it is not kept
  size         INTEGER NOT NULL,     -- bytes
  at           INTEGER NOT NULL,     -- when it came in
  kind         TEXT NOT NULL,        -- spread, board, stack, pile
  form         TEXT NOT NULL,        -- what she said its pieces are
  basket       TEXT NOT NULL,
  cut_in       REAL NOT NULL,        -- the width she said they are cut to
  px_per_inch  REAL NOT NULL         -- in the middle of the photo
);

CREATE TABLE print (
  id     INTEGER PRIMARY KEY AUTOINCREMENT,
  name   TEXT NOT NULL UNIQUE,
  l      REAL,          -- mean colour, CIELAB D65, L* 0..100; NULL where it was never measured
  a      REAL,
  b      REAL,
  inks   TEXT NOT NULL  -- [[r, g, b, share], …], most area first
);
CREATE INDEX print_cell ON print (CAST(l / 5 AS INTEGER), CAST(a / 10 AS INTEGER), b);

CREATE TABLE holding (
  id            INTEGER PRIMARY KEY AUTOINCREMENT,
  form          TEXT NOT NULL CHECK (form IN ('square', 'rectangle', 'strip', 'irregular', 'band', 'weighed')),
  count         INTEGER NOT NULL CHECK (count >= 0), -- 0: gone, and kept only to be known again in its photo
  corrected     INTEGER NOT NULL DEFAULT 0,          -- 1 where she said something of it
  gone          TEXT NOT NULL DEFAULT '',            -- why: used, recounted, not a piece, merged, split, not found
  width_in      REAL NOT NULL,    -- the shorter side
  length_in     REAL NOT NULL,
  cut_width_in  REAL NOT NULL,    -- to a ruler's mark
  cut_length_in REAL NOT NULL,    -- of rectangles alone
  area_in2      REAL NOT NULL,    -- of weighed cloth
  family        TEXT NOT NULL,
  value         TEXT NOT NULL,
  bin           TEXT NOT NULL,    -- her own
  print         INTEGER REFERENCES print (id),
  basket        TEXT NOT NULL,
  measured      INTEGER NOT NULL, -- 1 where the colours were measured in a photo
  mean_r        REAL NOT NULL,
  mean_g        REAL NOT NULL,
  mean_b        REAL NOT NULL,
  reads_r       REAL NOT NULL,
  reads_g       REAL NOT NULL,
  reads_b       REAL NOT NULL,
  colours       TEXT NOT NULL,    -- [[r, g, b, share], …], most area first
  lightness     REAL NOT NULL,    -- CIE L* of the mean, 0..100
  motif_in      REAL NOT NULL,    -- how wide the print's motifs are
  photo         INTEGER REFERENCES photo (id),
  piece         INTEGER NOT NULL, -- its number in the photo, from 1
  outline       TEXT NOT NULL,    -- [[x, y], …]
  trust         REAL NOT NULL     -- 0..1
);
CREATE INDEX holding_photo ON holding (photo);
CREATE INDEX holding_print ON holding (print);
CREATE INDEX holding_basket ON holding (basket) WHERE basket <> '';
CREATE INDEX holding_bin ON holding (family, value, cut_width_in);

-- What she said of a piece, so that it can be said again when the photo is
-- looked at again. Applied in the order of id.
CREATE TABLE correction (
  id       INTEGER PRIMARY KEY AUTOINCREMENT,
  photo    INTEGER NOT NULL REFERENCES photo (id),
  outline  TEXT NOT NULL, -- of the piece when she said it
  what     TEXT NOT NULL  -- JSON
);
CREATE INDEX correction_photo ON correction (photo);

CREATE TABLE floor (
  id       INTEGER PRIMARY KEY AUTOINCREMENT,
  family   TEXT NOT NULL,
  value    TEXT NOT NULL,
  bin      TEXT NOT NULL,
  cut_in   REAL NOT NULL,
  n        INTEGER NOT NULL CHECK (n > 0),
  UNIQUE (family, value, bin, cut_in)
);

CREATE TABLE setting (
  id     INTEGER PRIMARY KEY AUTOINCREMENT,
  name   TEXT NOT NULL UNIQUE,
  value  REAL NOT NULL
);

-- Files that were imported, so that none comes in twice.
CREATE TABLE imported (
  id    INTEGER PRIMARY KEY AUTOINCREMENT,
  hash  TEXT NOT NULL UNIQUE, -- SHA-256 of the file, hex
  name  TEXT NOT NULL,
  at    INTEGER NOT NULL
);

-- Every change that stands.
CREATE TABLE change (
  id    INTEGER PRIMARY KEY AUTOINCREMENT,
  at    INTEGER NOT NULL,
  verb  TEXT NOT NULL,
  what  TEXT NOT NULL,
  undoable INTEGER NOT NULL DEFAULT 1 -- 1 while the journal holds it
);
CREATE INDEX change_at ON change (at);
CREATE INDEX change_undoable ON change (id) WHERE undoable;

-- How the rows were before the last changes: what undo puts back, last first.
CREATE TABLE journal (
  seq     INTEGER PRIMARY KEY,
  change  INTEGER NOT NULL REFERENCES change (id) ON DELETE CASCADE,
  tbl     TEXT NOT NULL,
  row     INTEGER NOT NULL, -- the row's id
  was     TEXT              -- the row as JSON, reals as text; NULL where it was not there
);
CREATE INDEX journal_change ON journal (change);

-- A ledger of version 1: one photo of two pieces, one of them used; a count by
-- hand, its floor and a setting. The last change can be undone.
PRAGMA user_version = 1;
PRAGMA application_id = 1346527591;
INSERT INTO photo VALUES (1, 'a3f1c0de00000000000000000000000000000000000000000000000000000001', 'basket.jpg', '', 0, 1767225600000, 'spread', '', 'box', 0, 41.1);
INSERT INTO print VALUES (1, 'print 1', 45.5, 20.25, -30.125, '[[0.25,0.125,0.5,1]]');
INSERT INTO holding (id, form, count, gone, width_in, length_in, cut_width_in, cut_length_in, area_in2, family, value, bin, print, basket, measured, mean_r, mean_g, mean_b, reads_r, reads_g, reads_b, colours, lightness, motif_in, photo, piece, outline, trust) VALUES
  (1, 'square', 1, '', 2.5, 2.5, 2.5, 0, 0, 'purple', 'medium-dark', '', 1, 'box', 1, 0.25, 0.125, 0.5, 0.25, 0.125, 0.5, '[[0.25,0.125,0.5,1]]', 45.5, 0, 1, 1, '[[0,0],[100,0],[100,100],[0,100]]', 0.9),
  (2, 'square', 0, 'used', 2.5, 2.5, 2.5, 0, 0, 'purple', 'medium-dark', '', 1, 'box', 1, 0.25, 0.125, 0.5, 0.25, 0.125, 0.5, '[[0.25,0.125,0.5,1]]', 45.5, 0, 1, 2, '[[200,0],[300,0],[300,100],[200,100]]', 0.9),
  (3, 'square', 12, '', 5, 5, 5, 0, 0, 'blue', 'dark', '', NULL, '', 0, 0, 0, 0, 0, 0, 0, '[]', 0, 0, NULL, 0, '[]', 1);
INSERT INTO floor VALUES (1, 'blue', '', '', 5, 20);
INSERT INTO setting VALUES (1, 'gsm', 140.5);
INSERT INTO change VALUES (1, 1767225600000, 'stow', 'basket.jpg: 2 pieces', 0), (2, 1767225660000, 'use', '1 purple pieces', 1), (3, 1767225720000, 'add', '12 dark blue 5 square', 1);
INSERT INTO journal VALUES
  (7, 2, 'holding', 2, '{"id":2,"form":"square","count":1,"gone":"","width_in":"2.5","length_in":"2.5","cut_width_in":"2.5","cut_length_in":"0.0","area_in2":"0.0","family":"purple","value":"medium-dark","bin":"","print":1,"basket":"box","measured":1,"mean_r":"0.25","mean_g":"0.125","mean_b":"0.5","reads_r":"0.25","reads_g":"0.125","reads_b":"0.5","colours":"[[0.25,0.125,0.5,1]]","lightness":"45.5","motif_in":"0.0","photo":1,"piece":2,"outline":"[[200,0],[300,0],[300,100],[200,100]]","trust":"0.9","corrected":0}'),
  (8, 3, 'holding', 3, NULL);
